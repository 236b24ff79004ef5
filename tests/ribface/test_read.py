"""The whole reading on a made face, by hand and without scale, and what is refused."""

from __future__ import annotations

import itertools

import cv2
import numpy as np
import pytest
from faces.made_scene import FAT, LEAN, Made, Scene, make_scene

from gambrel.ribface.draw import draw_reading, figures
from gambrel.ribface.light import linear_to_lab, srgb_to_linear
from gambrel.ribface.outline import EyeOutline
from gambrel.ribface.plane import Plane
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading
from gambrel.ribface.refuse import Reason, Refusal

FLECKED = Made(flecks=60)


def got(scene: Scene, **how: object) -> Reading:
    reading = read_ribface(scene.bgr, **how)
    assert isinstance(reading, Reading), reading
    return reading


@pytest.fixture(scope="module")
def reading() -> Reading:
    """Read by colour alone: the network knows faces, and of plain shapes with bars it may say anything."""
    scene = make_scene(FLECKED)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("gambrel.ribface.read._hints_within", lambda _picture, _outline: None)
        return got(scene, outline=scene.outline_px)


def test_sizes_from_a_drawn_outline(reading: Reading) -> None:
    scene = make_scene(FLECKED)
    assert reading.ribeye_cm2 == pytest.approx(scene.area_cm2, rel=0.005)
    assert reading.length_cm == pytest.approx(scene.length_cm, rel=0.005)
    assert reading.width_cm == pytest.approx(scene.width_cm, rel=0.01)
    assert reading.fat_mm == pytest.approx(scene.fat_mm, abs=0.6)
    assert reading.marbling_pct == pytest.approx(scene.marbling_pct, abs=1.5)
    assert reading.mm_per_px == pytest.approx(0.125, rel=0.03)
    assert reading.outline_by == "hand"


def test_every_interval_holds_the_truth(reading: Reading) -> None:
    scene = make_scene(FLECKED)
    for pair, true in (
        (reading.ribeye_cm2_interval, scene.area_cm2),
        (reading.fat_mm_interval, scene.fat_mm),
        (reading.marbling_pct_interval, scene.marbling_pct),
    ):
        assert pair is not None
        assert pair[0] <= true <= pair[1]


def test_colours(reading: Reading) -> None:
    for seen, colour in ((reading.lean_lab, LEAN), (reading.fat_lab, FAT)):
        assert seen is not None
        assert np.abs(seen - linear_to_lab(srgb_to_linear(np.array(colour, float)))).max() < 5


def test_found_by_itself() -> None:
    scene = make_scene(FLECKED)
    reading = got(scene)
    assert reading.ribeye_cm2 == pytest.approx(scene.area_cm2, rel=0.06)
    assert reading.outline_by != "hand"


@pytest.mark.parametrize("right", [True, False])
def test_the_fat_line_lies_at_the_far_end_from_the_chine(right: bool) -> None:
    scene = make_scene(Made(chine_right=right))
    reading = got(scene, outline=scene.outline_px)
    assert reading.fat_line_px is not None
    middle = scene.outline_px.mean(axis=0)[0]
    assert (reading.fat_line_px[0, 0] < middle) == right


def test_the_chine_may_be_said() -> None:
    scene = make_scene(Made(chine_right=True))
    reading = got(scene, outline=scene.outline_px, chine="left")
    assert reading.fat_line_px is not None
    assert reading.fat_line_px[0, 0] > scene.outline_px.mean(axis=0)[0]


def test_without_scale_sizes_are_left_out() -> None:
    scene = make_scene(Made(flecks=60, hide=(10, 11, 12, 13)))
    reading = got(scene, outline=scene.outline_px, scale=False)
    assert reading.ribeye_cm2 is None
    assert reading.fat_mm is None
    assert reading.length_cm is None
    assert reading.mm_per_px is None
    assert reading.marbling_pct == pytest.approx(scene.marbling_pct, abs=3)
    assert reading.warnings


def test_a_length_by_hand_stands_in_for_the_card() -> None:
    scene = make_scene(Made(hide=(10, 11, 12, 13)))
    ends = scene.outline_px[[0, 120]]
    plane = Plane.from_length(tuple(ends[0]), tuple(ends[1]), 140.0)
    reading = got(scene, plane=plane, outline=scene.outline_px)
    assert reading.ribeye_cm2 == pytest.approx(scene.area_cm2, rel=0.01)
    card = got(make_scene(), outline=make_scene().outline_px)
    assert reading.ribeye_cm2_interval is not None and card.ribeye_cm2_interval is not None
    assert np.ptp(reading.ribeye_cm2_interval) > np.ptp(card.ribeye_cm2_interval)


def test_no_card_is_refused_unless_no_scale_is_wanted() -> None:
    scene = make_scene(Made(hide=(10, 11, 12, 13)))
    answer = read_ribface(scene.bgr)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.NO_CARD
    assert "length by hand" in answer.sentence()


def test_an_eye_out_of_the_frame_is_refused() -> None:
    scene = make_scene()
    answer = read_ribface(scene.bgr, outline=scene.outline_px + np.array([0, 500]))
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.EYE_CUT_OFF


def test_a_reduced_copy_is_refused() -> None:
    scene = make_scene()
    small = cv2.resize(scene.bgr, None, fx=0.2, fy=0.2, interpolation=cv2.INTER_AREA)
    answer = read_ribface(small, outline=scene.outline_px * 0.2)
    assert isinstance(answer, Refusal)
    assert answer.reason in (Reason.TOO_SMALL, Reason.NO_CARD, Reason.BLURRED)


def test_a_finder_is_put_in_from_outside() -> None:
    scene = make_scene()
    asked = []

    def finder(bgr, plane, seed):
        asked.append((bgr.shape, plane is not None, seed))
        return EyeOutline(scene.outline_px, 0.9, "test")

    reading = got(scene, outline_finder=finder, seed=(700.0, 900.0))
    assert asked == [(scene.bgr.shape, True, (700.0, 900.0))]
    assert reading.outline_by == "test"

    def refuses(bgr, plane, seed):
        return Refusal(Reason.TWO_FACES, "two eyes")

    assert read_ribface(scene.bgr, outline_finder=refuses) == Refusal(Reason.TWO_FACES, "two eyes")


def test_stages_are_timed_by_the_clock_given() -> None:
    scene = make_scene()
    ticks = itertools.count()
    reading = got(scene, outline=scene.outline_px, clock=lambda: float(next(ticks)))
    assert set(reading.times_s) == {"card", "light", "outline", "face", "marbling", "fat", "colour"}
    assert all(seconds == 1.0 for seconds in reading.times_s.values())
    assert not got(scene, outline=scene.outline_px).times_s


def test_public_names_and_no_claim(reading: Reading) -> None:
    told = reading.as_json()
    for name in ("ribeye_cm2", "fat_mm", "marbling_pct"):
        low, high = told[f"{name}_interval"]
        assert low <= told[name] <= high
    assert told["official"] is False
    assert 0 <= told["marbling_score"] <= 1000
    assert len(told["outline_px"]) == 240
    assert len(told["fat_line_px"]) == 2


def test_the_picture_shows_what_was_measured(reading: Reading) -> None:
    scene = make_scene(FLECKED)
    before = scene.bgr.copy()
    drawn = draw_reading(scene.bgr, reading)
    assert np.array_equal(scene.bgr, before)
    changed = np.any(drawn != before, axis=2)
    for points in (reading.outline_px, reading.fat_line_px, reading.axis_px, reading.card_corners_px):
        x, y = np.round(points).astype(int).T
        assert changed[y, x].mean() > 0.9
    text = " ".join(figures(reading))
    for unit in ("cm2", "in2", "mm", "cm,", "%"):
        assert unit in text
    assert "not an official grade" in text
