"""Round marks on an axis, and smooth lines that join without a gap."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.drawing.axis import Scale, mark_text, round_marks, round_step
from gambrel.files.drawing.curves import Curve, between, smooth

spans = st.floats(0.01, 1e6)
points = st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=2, max_size=12)


@given(st.floats(-1e4, 1e4), spans, st.integers(1, 12))
def test_marks_are_within_the_span_and_few(low, span, count):
    high = low + span
    marks = round_marks(low, high, count)
    slack = 1e-6 * max(1.0, abs(low), abs(high))
    assert all(low - slack <= mark <= high + slack for mark in marks)
    assert len(marks) <= count + 2


@given(spans, st.integers(1, 12))
def test_a_step_is_1_2_25_or_5_times_a_power_of_ten(span, count):
    digits = f"{round_step(span, count):.3e}".split("e")[0]
    assert float(digits) in (1.0, 2.0, 2.5, 5.0)


@pytest.mark.parametrize(("span", "count"), [(0.0, 5), (-1.0, 5), (float("nan"), 5), (1.0, 0)])
def test_no_step_for_an_empty_span(span, count):
    with pytest.raises(ValueError, match="span"):
        round_step(span, count)


def test_marks_as_expected_by_hand():
    assert round_marks(0, 22, 6) == [0, 5, 10, 15, 20]
    assert round_marks(160, 183, 6) == [160, 165, 170, 175, 180]


@pytest.mark.parametrize(("value", "text"), [(0.0, "0"), (2.5, "2.5"), (1000.0, "1,000"), (0.25, "0.25")])
def test_marks_are_written_short(value, text):
    assert mark_text(value) == text


def test_a_scale_lands_on_its_ends():
    scale = Scale(10, 20, 100, 300)
    assert (scale.at(10), scale.at(20), scale.at(15)) == (100, 300, 200)


@given(points)
def test_a_smooth_line_passes_its_points(given_points):
    curve = smooth(given_points)
    assert curve.start == given_points[0]
    assert [bend[2] for bend in curve.bends] == given_points[1:]


@given(points)
def test_a_line_run_back_twice_is_itself(given_points):
    curve = smooth(given_points)
    assert curve.back().back() == curve
    assert (curve.back().start, curve.back().end) == (curve.end, curve.start)


@given(points)
def test_head_and_tail_make_the_whole(given_points):
    curve = smooth(given_points)
    for cut in range(1, len(curve.bends)):
        assert curve.head(cut).then(curve.tail(len(curve.bends) - cut)) == curve


def test_lines_that_do_not_meet_are_not_joined():
    with pytest.raises(ValueError, match="begins at"):
        smooth([(0, 0), (1, 1)]).then(smooth([(5, 5), (6, 6)]))


def test_a_path_is_mirrored_left_to_right():
    curve = Curve((10, 0), (((20, 5), (30, 5), (40, 0)),))
    assert curve.path() == "M 10 0 C 20 5 30 5 40 0"
    assert curve.path(mirror_width=100, closed=True) == "M 90 0 C 80 5 70 5 60 0 Z"


def test_a_closed_line_has_no_corner_at_its_seam():
    square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0), (0.0, 0.0)]
    curve = smooth(square, closed=True)
    leaving, arriving = curve.bends[0][0], curve.bends[-1][1]
    assert (leaving[0] + arriving[0], leaving[1] + arriving[1]) == pytest.approx((0.0, 0.0))


def test_one_point_is_no_line():
    with pytest.raises(ValueError, match="two points"):
        smooth([(0, 0)])


def test_between_two_lines():
    assert between([(0, 0), (2, 2)], [(10, 10), (12, 12)], 0.5) == ((5, 5), (7, 7))
    assert between([(0, 0)], [(10, 10)], 1.1) == ((11.0, 11.0),)
