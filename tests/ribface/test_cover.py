"""Cover fat, its side and the chine end, on a made face."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from faces.made_scene import FAT, LEAN, Made, make_scene

from gambrel.ribface import read
from gambrel.ribface.chine import SURE_MARGIN as SURE_CHINE
from gambrel.ribface.chine import Chine, chine_given, find_chine
from gambrel.ribface.cover import SURE_MARGIN, Cover, Face, fat_beside, find_cover
from gambrel.ribface.geometry import Axis, fat_line, longest_chord
from gambrel.ribface.light import light_from_card, linear_to_lab, srgb_to_linear
from gambrel.ribface.plane import Card, find_card

LEAN_LAB = linear_to_lab(srgb_to_linear(np.array(LEAN, float))).astype(float)
FAT_LAB = linear_to_lab(srgb_to_linear(np.array(FAT, float))).astype(float)


def face_of(made: Made) -> tuple[Face, np.ndarray, Axis]:
    scene = make_scene(made)
    card = find_card(scene.bgr)
    assert isinstance(card, Card)
    light = light_from_card(scene.bgr, card)
    polygon = card.plane.to_mm(scene.outline_px)
    low, top = polygon.min(axis=0) - 50, polygon.max(axis=0) + 50
    seen, _ = card.plane.rectify(scene.bgr, px_per_mm=3.0, window_mm=(*low, *top))
    return Face(light.lab(light.linear(seen)), low[0], low[1], 3.0), polygon, longest_chord(polygon)


def test_fat_beside_the_eye_has_the_colour_of_fat() -> None:
    face, polygon, _ = face_of(Made())
    found = fat_beside(face, polygon, LEAN_LAB)
    assert found is not None
    assert np.abs(found - FAT_LAB).max() < 5


def test_no_fat_where_there_is_none() -> None:
    lab = np.tile(LEAN_LAB.astype(np.float32), (300, 400, 1))
    face = Face(lab, 0.0, 0.0, 2.0)
    square = np.array([[50.0, 40], [150, 40], [150, 110], [50, 110]])
    assert fat_beside(face, square, LEAN_LAB) is None


@pytest.mark.parametrize("cover_mm", [3.0, 6.0, 9.0, 14.0, 20.0])
def test_thickness_within_a_millimetre(cover_mm: float) -> None:
    made = Made(cover_mm=cover_mm, centre=(95.0, 148.0))
    face, polygon, axis = face_of(made)
    cover = find_cover(face, polygon, axis, lean_lab=LEAN_LAB, fat_lab=FAT_LAB)
    assert cover is not None
    line = fat_line(polygon, axis, cover.surface_mm, cover.spread_mm)
    assert line is not None
    assert line.thickness_mm == pytest.approx(make_scene(made).fat_mm, abs=0.6)


def test_the_outside_is_where_no_meat_lies() -> None:
    face, polygon, axis = face_of(Made())
    cover = find_cover(face, polygon, axis, lean_lab=LEAN_LAB, fat_lab=FAT_LAB)
    assert cover is not None
    assert (axis.across * cover.side)[1] < 0
    assert cover.side_margin > 0.2


@pytest.mark.parametrize("chine_right", [True, False])
def test_the_chine_is_where_the_bone_is(chine_right: bool) -> None:
    face, polygon, axis = face_of(Made(chine_right=chine_right))
    found = find_chine(face, polygon, axis, np.array([0.0, -1.0]), lean_lab=LEAN_LAB, fat_lab=FAT_LAB)
    assert (found.axis.start[0] > found.axis.end[0]) == chine_right
    assert not found.sure  # bone and depth alone are right in three of four rendered faces


@pytest.mark.parametrize("chine_right", [True, False])
@pytest.mark.parametrize("hint_right", [True, False])
def test_a_sure_hint_outweighs_the_bone_and_a_faint_one_does_not(chine_right: bool, hint_right: bool) -> None:
    """The finder's hint is right far oftener than bone and depth; where it is faint, they tell."""
    face, polygon, axis = face_of(Made(chine_right=chine_right))
    for strength, right in ((1.0, hint_right), (0.02, chine_right)):
        hint = np.array([strength if hint_right else -strength, 0.0])
        found = find_chine(
            face, polygon, axis, np.array([0.0, -1.0]), lean_lab=LEAN_LAB, fat_lab=FAT_LAB, to_chine=hint
        )
        assert (found.axis.start[0] > found.axis.end[0]) == right


def test_the_chine_is_not_sure_without_bone_or_hint() -> None:
    """An ellipse has no deeper end; where no bone is seen, nothing tells."""
    face, polygon, axis = face_of(Made())
    found = find_chine(face, polygon, axis, np.array([0.0, 1.0]), lean_lab=LEAN_LAB, fat_lab=LEAN_LAB)
    assert not found.sure


@pytest.mark.parametrize(
    "where,first", [("left", (0, 0)), ("right", (100, 20)), ("top", (0, 0)), ("bottom", (100, 20))]
)
def test_the_chine_as_given(where: str, first: tuple[float, float]) -> None:
    axis = Axis(np.array([0.0, 0.0]), np.array([100.0, 20.0]), float(np.hypot(100, 20)), 50.0)
    found = chine_given(axis, np.array([[0.0, 0.0], [100.0, 20.0]]), where)
    assert found.axis.start.tolist() == list(first)
    assert found.sure


def test_beyond_the_picture_there_is_nothing() -> None:
    face = Face(np.ones((20, 20, 3), np.float32), 0.0, 0.0, 1.0)
    seen = face.at(np.array([[5.0, 5.0], [500.0, 5.0]]))
    assert np.isfinite(seen[0]).all()
    assert np.isnan(seen[1]).all()


def test_sides_too_alike_leave_fat_unmeasured_where_the_finder_gave_hints(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A cover found by colour alone on a side hardly more likely than the other is not measured."""
    outline = np.array([[0.0, 0.0], [140.0, 0.0], [140.0, 60.0], [0.0, 60.0]])
    axis = longest_chord(outline)
    hints = read._HintsMm(None, axis.across * 0.9)
    eye = SimpleNamespace(hints=SimpleNamespace(view=None))
    monkeypatch.setattr(read, "cover_by_classes", lambda *_: None)
    for margin, kept in ((SURE_MARGIN - 0.05, False), (SURE_MARGIN + 0.05, True)):
        found = Cover(1, outline, 0.1, margin)
        monkeypatch.setattr(read, "find_cover", lambda *_, found=found, **__: found)
        got = read._cover(eye, None, None, outline, axis, hints, np.zeros(3), np.zeros(3))  # type: ignore[arg-type]
        assert (got is found) is kept


def sloping(first_mm: float, last_mm: float, *, from_mm: float = 0.0) -> tuple[np.ndarray, Axis, Cover]:
    """An eye of 140 by 60 mm, square at its ends, and a cover that rises evenly from its one end to the other."""
    outline = np.array([[0.0, 0.0], [140.0, 0.0], [140.0, 60.0], [0.0, 60.0]])
    x = np.linspace(from_mm, 140, 60)
    surface = np.column_stack([x, 60 + first_mm + x / 140 * (last_mm - first_mm)])
    axis = Axis(np.array([0.0, 30.0]), np.array([140.0, 30.0]), 140.0, 60.0)
    return outline, axis, Cover(1, surface, 0.1, 1.0)


def test_an_unsure_chine_says_how_far_apart_the_fat_lies_at_the_two_ends() -> None:
    """Fat of 8 mm rising to 12: 11 mm at three-quarters, 9 at one quarter."""
    outline, axis, cover = sloping(8, 12)
    line, gap_mm = read._line(outline, cover, Chine(axis, SURE_CHINE - 0.1), hinted=True)
    assert line is not None
    assert line.thickness_mm == pytest.approx(11, abs=0.2)
    assert gap_mm == pytest.approx(2, abs=0.2)


def test_an_unsure_chine_and_unlike_ends_leave_the_fat_unmeasured() -> None:
    """Fat of 6 mm rising to 14: 12 mm at three-quarters, 8 at one quarter. 2.5 of a yield grade to the inch of fat
    (USDA, United States Standards for Grades of Carcass Beef, 2017): 4 mm at the wrong end are 0.4 of a grade.
    """
    outline, axis, cover = sloping(6, 14)
    for end in (axis, axis.turned()):
        line, gap_mm = read._line(outline, cover, Chine(end, SURE_CHINE - 0.1), hinted=True)
        assert line is None
        assert gap_mm == pytest.approx(4, abs=0.2)
    assert pytest.approx(0.3, abs=0.01) == read.MOST_CHINE_GAP_MM / 25.4 * 2.5


def test_where_nobody_gave_a_hint_the_likelier_end_is_measured_and_the_gap_said() -> None:
    outline, axis, cover = sloping(6, 14)
    line, gap_mm = read._line(outline, cover, Chine(axis, 0.1), hinted=False)
    assert line is not None and line.thickness_mm == pytest.approx(12, abs=0.2)
    assert gap_mm == pytest.approx(4, abs=0.2)


def test_a_sure_chine_leaves_no_gap() -> None:
    outline, axis, cover = sloping(6, 14)
    for end in (
        Chine(axis, SURE_CHINE),
        chine_given(axis, np.array([[0.0, 0.0], [140.0, 0.0]]), "left"),
    ):
        line, gap_mm = read._line(outline, cover, end, hinted=True)
        assert line is not None and gap_mm == 0
        assert line.thickness_mm == pytest.approx(12, abs=0.2)


def test_an_unsure_chine_whose_other_end_is_not_seen_leaves_the_fat_unmeasured() -> None:
    outline, axis, cover = sloping(6, 14, from_mm=90)
    assert read._line(outline, cover, Chine(axis, 0.1), hinted=True) == (None, read.USUAL_GAP_MM)
    assert read.USUAL_GAP_MM > read.MOST_CHINE_GAP_MM


def test_without_a_cover_there_is_neither_line_nor_gap() -> None:
    outline, axis, _ = sloping(6, 14)
    assert read._line(outline, None, Chine(axis, 0.1), hinted=True) == (None, 0.0)
