"""Edges that are hard to see: what lies against the eye touches it, and what is cut out of it is no longer eye."""

from __future__ import annotations

import numpy as np
import pytest
from render import against, anatomy, plates, shapes
from render.anatomy import Face
from render.canvas import Canvas
from render.draw import Draw
from render.plan import make_plan

AREA_MM2 = 8000.0
TWO: dict[str, str | None] = {"difficulty": "normal", "kind": None, "want": "bad:two_animals"}
ALWAYS = 100.0
"""A spread that makes every chance a certainty."""


def eye(seed: int) -> np.ndarray:
    return shapes.eye_outline(Draw(seed, "eye"), area_mm2=AREA_MM2, spread=1.0)


def gap_mm(piece: np.ndarray, outline: np.ndarray) -> float:
    """Least distance between the points of two outlines."""
    return float(np.min(np.hypot(*(piece[:, None] - outline[None]).T)))


@pytest.mark.parametrize("seed", range(6))
def test_a_seamless_muscle_touches_the_eye(seed: int) -> None:
    outline = eye(seed)
    pieces, outers = against.seamless(Draw(seed, "against"), outline, layout="side", spread=ALWAYS)
    assert pieces and len(pieces) == len(outers)
    assert all(gap_mm(piece.outline, outline) < 1.5 for piece in pieces)
    assert all(piece.tone != (1.0, 1.0, 1.0) for piece in pieces), (
        "without a seam only the tone tells them apart"
    )


@pytest.mark.parametrize("seed", range(12))
def test_a_tongue_of_fat_takes_from_the_eye_and_stays_within_it(seed: int) -> None:
    outline = eye(seed)
    cut = against.notched(Draw(seed, "against"), outline, spread=ALWAYS)
    assert shapes.area(cut) <= shapes.area(outline) * 1.001
    assert shapes.area(cut) > 0.9 * AREA_MM2
    low, top = outline.min(axis=0) - 1, outline.max(axis=0) + 1
    assert (cut >= low).all() and (cut <= top).all()


def test_some_tongues_are_cut() -> None:
    less = [
        1 - shapes.area(against.notched(Draw(s, "against"), eye(s), spread=ALWAYS)) / AREA_MM2
        for s in range(12)
    ]
    assert sum(share > 0.001 for share in less) >= 4, less


@pytest.mark.parametrize("seed", range(8))
def test_torn_meat_takes_the_place_of_the_eye_cut_off(seed: int) -> None:
    outline = eye(seed)
    left, torn, outers = against.torn_off(Draw(seed, "against"), outline, spread=ALWAYS)
    assert len(torn) == len(outers) <= 1
    if torn:
        assert 0.6 * AREA_MM2 <= shapes.area(left) < AREA_MM2
        assert gap_mm(torn[0].outline, left) < 2.0


def test_mostly_nothing_of_it() -> None:
    plain = [against.notched(Draw(s, "against"), eye(s), spread=1.0) for s in range(40)]
    assert sum(len(each) == shapes.COUNT for each in plain) > 25


def test_an_eye_that_is_to_be_cut_off_leaves_the_frame() -> None:
    for seed in range(50_400_000, 50_400_008):
        plan = make_plan(seed, (896, 672), difficulty="normal", kind=None, want="bad:eye_cut_off")
        assert plan.face is not None
        px = plan.camera.to_px(plan.face.eye)
        out = ((px < 0) | (px > np.array([895, 671]))).any(axis=1).mean()
        assert 0.04 < out < 0.85, seed


def test_a_neighbour_without_a_seam_shows_a_sheath_or_a_tone_of_its_own(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Otherwise no pixel of the picture says where the eye ends."""
    monkeypatch.setattr(anatomy, "_seam_mm", lambda _draw: 0.05)
    pieces = [
        piece
        for seed in range(12)
        for piece in anatomy.neighbours(Draw(seed, "anatomy"), eye(seed), layout="side")[0]
    ]
    assert len(pieces) >= 24
    assert all(piece.rim_mm >= 0.2 or piece.tone != (1.0, 1.0, 1.0) for piece in pieces)
    assert {piece.tone == (1.0, 1.0, 1.0) for piece in pieces} == {True, False}, "both ways are drawn"


def test_no_plate_is_laid_over_a_second_animal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(plates, "SHARE", 1.0)
    laid: list[int] = []
    monkeypatch.setattr(plates, "_plate", lambda *_given, **_named: laid.append(1))
    seed = next(s for s in range(200) if _side(make_plan(s, (400, 300), **TWO).face))
    plan = make_plan(seed, (400, 300), **TWO)
    canvas = Canvas(
        np.zeros((300, 400, 3), np.float32), np.zeros((300, 400), np.uint8), np.zeros((300, 400), np.float32),
        plan.camera,
    )  # fmt: skip
    assert plan.face is not None and plan.second is not None
    plates.paint_plates(Draw(seed, "plates"), canvas, plan.face, plan.second)
    assert laid == []
    plates.paint_plates(Draw(seed, "plates"), canvas, plan.face, None)
    assert laid


def _side(face: Face | None) -> bool:
    return face is not None and face.layout == "side"
