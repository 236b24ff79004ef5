"""The card found and the plane fitted, on a made picture whose plane is known."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from faces.made_scene import Made, make_scene, through
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.plane import CARD_MM, Card, Plane, find_card
from gambrel.ribface.refuse import Reason, Refusal


def found(bgr: np.ndarray) -> Card:
    card = find_card(bgr)
    assert isinstance(card, Card), card
    return card


def refused(bgr: np.ndarray) -> Reason:
    card = find_card(bgr)
    assert isinstance(card, Refusal)
    return card.reason


def test_the_card_is_a7() -> None:
    """ISO 216:2007 gives A7 as 74 by 105 mm."""
    assert sorted(CARD_MM) == [74.0, 105.0]


def test_corners_within_half_a_pixel(plain) -> None:
    card = found(plain.bgr)
    width, height = CARD_MM
    true = through(plain.to_px, np.array([[0, 0], [width, 0], [width, height], [0, height]]))
    assert np.hypot(*(card.corners_px - true).T).max() < 0.6
    assert card.markers == (10, 11, 12, 13)
    assert card.residual_mm < 0.1
    assert card.warnings() == ()


@pytest.mark.parametrize("tilt", [0.0, 0.05, 0.1])
def test_area_through_the_plane(tilt: float) -> None:
    scene = make_scene(Made(tilt=tilt))
    plane = found(scene.bgr).plane
    x, y = plane.to_mm(scene.outline_px).T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 200
    assert area == pytest.approx(scene.area_cm2, rel=0.004)


def test_tilt_grows_with_the_slant() -> None:
    tilts = [found(make_scene(Made(tilt=t)).bgr).tilt_deg for t in (0.0, 0.05, 0.1)]
    assert tilts[0] < 3
    assert tilts == sorted(tilts)
    assert tilts[2] > 8


def test_two_markers_are_enough() -> None:
    scene = make_scene(Made(hide=(11, 12)))
    card = found(scene.bgr)
    assert card.markers == (10, 13)
    x, y = card.plane.to_mm(scene.outline_px).T
    area = abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 200
    assert area == pytest.approx(scene.area_cm2, rel=0.05)
    assert any("2 of the card's 4 markers" in said for said in card.warnings())


def test_one_marker_is_too_little() -> None:
    assert refused(make_scene(Made(hide=(10, 11, 12))).bgr) is Reason.TOO_LITTLE_CARD


def test_no_card() -> None:
    assert refused(make_scene(Made(hide=(10, 11, 12, 13))).bgr) is Reason.NO_CARD
    assert refused(np.full((300, 400, 3), 90, np.uint8)) is Reason.NO_CARD


def test_a_bent_card_is_refused(plain) -> None:
    high, wide = plain.bgr.shape[:2]
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    middle = through(plain.to_px, np.array([[52.5, 37.0]]))[0]
    lift = (30 * np.sin((x - middle[0]) / 130)).astype(np.float32)
    bent = cv2.remap(plain.bgr, x, y + lift, cv2.INTER_LINEAR)
    assert refused(bent) is Reason.CARD_NOT_FLAT


def test_a_blurred_picture_is_refused_and_a_soft_one_warned() -> None:
    sharp = found(make_scene().bgr).edge_width_mm
    soft = found(make_scene(Made(blur_px=2.8)).bgr)
    assert soft.edge_width_mm > 2 * sharp
    assert any("soft" in said for said in soft.warnings())
    assert refused(make_scene(Made(blur_px=6.0)).bgr) is Reason.BLURRED


def test_a_card_printed_out_of_proportion_is_warned_of(plain) -> None:
    squeezed = cv2.resize(plain.bgr, None, fx=0.92, fy=1.0, interpolation=cv2.INTER_AREA)
    assert any("proportions" in said for said in found(squeezed).warnings())


def test_the_check_bar_is_measured(plain) -> None:
    assert found(plain.bgr).bar_mm == pytest.approx(50, abs=0.5)


def test_a_length_by_hand_gives_a_square_plane() -> None:
    plane = Plane.from_length((100, 100), (400, 500), 125.0)
    assert plane.mm_per_px(np.array([10.0, 10.0])) == pytest.approx(0.25)
    with pytest.raises(ValueError, match="two different points"):
        Plane.from_length((1, 1), (1, 1), 100.0)


@given(st.floats(0.05, 0.5), st.floats(-1e-4, 1e-4), st.floats(-1e-4, 1e-4))
def test_there_and_back(scale: float, p: float, q: float) -> None:
    plane = Plane(np.array([[scale, 0.01, 3], [0.02, scale, -4], [p, q, 1.0]]))
    points = np.array([[10.0, 20.0], [700.0, 30.0], [400.0, 600.0]])
    assert np.allclose(plane.to_px(plane.to_mm(points)), points, atol=1e-6)


def test_rectified_picture_has_the_scale_asked_for(plain) -> None:
    plane = found(plain.bgr).plane
    seen, matrix = plane.rectify(plain.bgr, px_per_mm=5.0, window_mm=(0.0, 0.0, 105.0, 74.0))
    assert seen.shape == (370, 525, 3)
    assert seen[5, 5].min() > 200
    corner = through(matrix, through(plain.to_px, np.array([[105.0, 74.0]])))
    assert np.allclose(corner, [[525, 370]], atol=1.0)
