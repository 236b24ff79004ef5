"""Cover fat, its side and the chine end, on a made face."""

from __future__ import annotations

import numpy as np
import pytest
from faces.made_scene import FAT, LEAN, Made, make_scene

from gambrel.ribface.chine import chine_given, find_chine
from gambrel.ribface.cover import Face, fat_beside, find_cover
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
    assert found.sure


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
