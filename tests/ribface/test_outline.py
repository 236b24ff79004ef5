"""The outline checked, and the classical finder on a made face."""

from __future__ import annotations

import numpy as np
import pytest
from faces.made_scene import Made, make_scene, through

from gambrel.ribface.outline import EyeOutline, check_outline, filled, overlap
from gambrel.ribface.outline_classic import find_eye_classic
from gambrel.ribface.plane import Card, Plane, find_card
from gambrel.ribface.refuse import Reason, Refusal

SHAPE = (800, 1000, 3)


def ellipse(a: float, b: float, at: tuple[float, float] = (500, 400)) -> np.ndarray:
    t = np.linspace(0, 2 * np.pi, 120, endpoint=False)
    return np.column_stack([at[0] + a * np.cos(t), at[1] + b * np.sin(t)])


def reason(polygon: np.ndarray, plane: Plane | None = None) -> Reason | None:
    answer = check_outline(EyeOutline(polygon, 1.0, "test"), SHAPE, plane)
    return None if answer is None else answer.reason


def test_a_usual_eye_passes() -> None:
    assert reason(ellipse(280, 140)) is None
    assert reason(ellipse(280, 140), Plane.square_on(0.25)) is None


@pytest.mark.parametrize("at", [(285, 400), (715, 400), (500, 140), (500, 660)])
def test_an_eye_at_the_frame_is_cut_off(at: tuple[float, float]) -> None:
    assert reason(ellipse(285, 140, at)) is Reason.EYE_CUT_OFF


def test_shapes_that_are_no_eye() -> None:
    assert reason(ellipse(280, 40)) is Reason.NOT_A_RIB_FACE
    star = ellipse(280, 140)
    star[::2] = (500, 400) + (star[::2] - (500, 400)) * 0.4
    assert reason(star) is Reason.UNREADABLE


@pytest.mark.parametrize("mm_per_px", [0.05, 0.6])
def test_sizes_that_are_no_eye(mm_per_px: float) -> None:
    assert reason(ellipse(280, 140), Plane.square_on(mm_per_px)) is Reason.NOT_A_RIB_FACE


def test_filled_and_overlap() -> None:
    mask = filled(ellipse(280, 140), SHAPE[:2])
    assert mask.sum() == pytest.approx(np.pi * 280 * 140, rel=0.005)
    assert overlap(mask, mask) == 1
    assert overlap(mask, ~mask) == 0
    assert overlap(
        filled(ellipse(280, 140), SHAPE[:2]), filled(ellipse(140, 140), SHAPE[:2])
    ) == pytest.approx(0.5, abs=0.01)


def found_on(made: Made, *, scaled: bool, seed_mm: tuple[float, float] | None = None) -> float:
    scene = make_scene(made)
    card = find_card(scene.bgr)
    assert isinstance(card, Card)
    seed = None if seed_mm is None else tuple(through(scene.to_px, np.array([seed_mm]))[0])
    eye = find_eye_classic(scene.bgr, card.plane if scaled else None, seed)
    assert isinstance(eye, EyeOutline), eye
    shape = scene.bgr.shape[:2]
    return overlap(filled(eye.polygon_px, shape), filled(scene.outline_px, shape))


def test_the_eye_of_a_made_face_is_found() -> None:
    assert found_on(Made(), scaled=True) > 0.94
    assert found_on(Made(flecks=30), scaled=True) > 0.93
    assert found_on(Made(), scaled=False) > 0.9


def test_a_seed_picks_the_muscle() -> None:
    assert found_on(Made(), scaled=True, seed_mm=(90.0, 140.0)) > 0.94
    assert found_on(Made(), scaled=True, seed_mm=(40.0, 192.0)) < 0.1


def test_nothing_red_is_no_rib_face() -> None:
    answer = find_eye_classic(np.full((400, 500, 3), 120, np.uint8), None, None)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.NOT_A_RIB_FACE
