"""Pictures too dark or too white to show a card are told apart from pictures without one."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from faces.render import render_face

from gambrel.ribface.exposure import badly_lit
from gambrel.ribface.read import read_ribface
from gambrel.ribface.refuse import Reason, Refusal

SIZE = (896, 672)


def reason(bgr: np.ndarray) -> Reason | None:
    answer = badly_lit(bgr)
    return None if answer is None else answer.reason


@pytest.mark.parametrize(("value", "wanted"), [(0, Reason.TOO_DARK), (60, Reason.TOO_DARK), (120, None),
                                               (240, None), (255, Reason.BLOWN_OUT)])  # fmt: skip
def test_an_even_picture(value: int, wanted: Reason | None) -> None:
    assert reason(np.full((300, 400, 3), value, np.uint8)) is wanted


def test_a_card_in_the_dark_is_enough_light() -> None:
    picture = np.full((300, 400, 3), 12, np.uint8)
    picture[40:80, 40:90] = 180
    assert reason(picture) is None


def test_a_speck_of_light_is_not() -> None:
    picture = np.full((300, 400, 3), 12, np.uint8)
    picture[40:45, 40:45] = 255
    assert reason(picture) is Reason.TOO_DARK


def test_a_white_table_is_not_blown_out() -> None:
    picture = np.full((300, 400, 3), 255, np.uint8)
    picture[60:240, 80:320] = (40, 30, 150)
    assert reason(picture) is None


def test_a_picture_smaller_than_the_samples() -> None:
    assert reason(np.full((3, 5, 3), 8, np.uint8)) is Reason.TOO_DARK


@pytest.mark.parametrize("seed", [50_300_005, 50_300_007, 50_300_009])
def test_dark_faces_are_told_to_be_dark(seed: int) -> None:
    made = render_face(seed, size=SIZE, want="bad:too_dark")
    answer = read_ribface(made.bgr)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.TOO_DARK


def test_a_good_face_without_its_card_is_told_so() -> None:
    made = render_face(50_300_010, size=SIZE, want="good")
    bgr = made.bgr.copy()
    corners = np.round(np.array(made.truth["card_corners_px"])).astype(np.int32)
    cv2.fillConvexPoly(bgr, corners, (90, 90, 90))
    answer = read_ribface(bgr)
    assert isinstance(answer, Refusal)
    assert answer.reason in (Reason.NO_CARD, Reason.TOO_LITTLE_CARD)
