"""Shapes against figures from plane geometry."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.geometry import (
    MOST_FAT_MM,
    area_mm2,
    centroid,
    fat_line,
    inside_points,
    last_crossings,
    longest_chord,
    resampled,
)


def ellipse(
    a: float, b: float, turn_deg: float = 0.0, at: tuple[float, float] = (0, 0), n: int = 720
) -> np.ndarray:
    t = np.linspace(0, 2 * np.pi, n, endpoint=False)
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.column_stack([a * np.cos(t), b * np.sin(t)]) @ np.array([[c, s], [-s, c]]) + at


def test_area_of_a_rectangle_and_of_an_ellipse() -> None:
    assert area_mm2(np.array([[0, 0], [30, 0], [30, 20], [0, 20.0]])) == pytest.approx(600)
    assert area_mm2(ellipse(70, 35)) == pytest.approx(np.pi * 70 * 35, rel=1e-4)


@given(st.floats(0, 180), st.floats(-500, 500), st.floats(20, 90), st.floats(10, 19))
def test_turning_and_moving_change_nothing(turn: float, shift: float, a: float, b: float) -> None:
    there = ellipse(a, b, turn, (shift, -shift))
    axis = longest_chord(there)
    assert area_mm2(there) == pytest.approx(np.pi * a * b, rel=1e-3)
    assert axis.length_mm == pytest.approx(2 * a, rel=1e-3)
    assert axis.width_mm == pytest.approx(2 * b, rel=2e-2)
    assert np.allclose(centroid(there), (shift, -shift), atol=1e-6 * max(1, abs(shift)) + 1e-6)


def test_the_way_round_does_not_matter() -> None:
    assert area_mm2(ellipse(60, 30)[::-1]) == pytest.approx(area_mm2(ellipse(60, 30)))


def test_last_crossings_of_a_square() -> None:
    """From within, from before, from beyond and past it."""
    square = np.array([[0, 0], [10, 0], [10, 10], [0, 10.0]])
    origins = np.array([[5.0, 5.0], [-2.0, 5.0], [13.0, 5.0], [5.0, 50.0]])
    found = last_crossings(square, origins, np.broadcast_to((1.0, 0.0), (4, 2)))
    assert found.tolist() == [5.0, 12.0, -3.0, -np.inf]


def test_axis_turned_starts_at_the_other_end() -> None:
    axis = longest_chord(ellipse(70, 30))
    assert np.allclose(axis.turned().start, axis.end)
    assert np.allclose(axis.turned().along, -axis.along)


def test_fat_line_under_a_flat_surface() -> None:
    """On the ellipse's half-length the edge is at b sqrt(1 - 1/4); a flat surface lies cover above the top."""
    eye = ellipse(70, 32)
    axis = longest_chord(eye)
    if axis.start[0] > 0:
        axis = axis.turned()
    surface = np.column_stack([np.linspace(-70, 70, 50), np.full(50, 41.0)])
    line = fat_line(eye, axis, surface, 0.1)
    assert line is not None
    assert line.thickness_mm == pytest.approx(41 - 32 * np.sqrt(0.75), abs=0.02)
    assert line.at_eye == pytest.approx((35.0, 32 * np.sqrt(0.75)), abs=0.05)


def test_fat_line_is_square_to_a_sloping_surface() -> None:
    eye = ellipse(70, 32)
    axis = longest_chord(eye)
    surface = np.column_stack([np.linspace(-90, 90, 90), 45 + 0.2 * np.linspace(-90, 90, 90)])
    line = fat_line(eye, axis, surface, 0.1)
    assert line is not None
    along = (line.at_surface - line.at_eye) / line.thickness_mm
    assert abs(along @ np.array([1, 0.2])) < 0.01


def test_a_line_too_long_is_none() -> None:
    eye = ellipse(70, 32)
    far = np.column_stack([np.linspace(-70, 70, 50), np.full(50, 33 + MOST_FAT_MM)])
    assert fat_line(eye, longest_chord(eye), far, 0.1) is None


def flat_surface(*spans_mm: tuple[float, float], high_mm: float = 41.0) -> np.ndarray:
    """A surface at one height above the eye's middle, seen over these spans alone, points 2 mm apart."""
    x = np.concatenate([np.arange(first, last + 0.1, 2.0) for first, last in spans_mm])
    return np.column_stack([x, np.full(len(x), high_mm)])


def thickness_under(surface: np.ndarray) -> float | None:
    """Of an eye 140 by 64 mm whose chine is at -70: the place of measuring lies at 35, under the surface there."""
    eye = ellipse(70, 32)
    axis = longest_chord(eye)
    line = fat_line(eye, axis if axis.start[0] < 0 else axis.turned(), surface, 0.1)
    return None if line is None else line.thickness_mm


UNDER_A_FLAT_ONE_MM = 41 - 32 * np.sqrt(0.75)


@pytest.mark.parametrize("last", [36.0, 60.0])
def test_a_surface_seen_as_far_as_the_place_is_enough(last: float) -> None:
    assert thickness_under(flat_surface((-70, last))) == pytest.approx(UNDER_A_FLAT_ONE_MM, abs=0.02)


def test_a_surface_that_is_not_seen_at_the_place_is_not_measured_at_its_end() -> None:
    """15 mm short of the place the line to its last point leans 20 degrees and is too long."""
    assert thickness_under(flat_surface((-70, 20))) is None
    assert thickness_under(flat_surface((50, 90))) is None


def test_an_end_almost_square_to_the_line_is_taken() -> None:
    """3 mm short of the place: 4 degrees off, a tenth of a millimetre too long."""
    seen = thickness_under(flat_surface((-70, 32)))
    assert seen == pytest.approx(UNDER_A_FLAT_ONE_MM, abs=0.6)


def test_a_narrow_gap_is_bridged_and_a_wide_one_is_not() -> None:
    assert thickness_under(flat_surface((-70, 26), (44, 70))) == pytest.approx(UNDER_A_FLAT_ONE_MM, abs=0.02)
    assert thickness_under(flat_surface((-70, 16), (54, 70))) is None


def test_what_lies_beyond_a_gap_does_not_hide_what_is_seen() -> None:
    """The straight way across the gap would come nearer than the surface itself."""
    under_the_tail = np.array([[62.0, -60.0], [64.0, -62.0]])
    surface = np.vstack([flat_surface((-70, 60)), under_the_tail])
    assert thickness_under(surface) == pytest.approx(UNDER_A_FLAT_ONE_MM, abs=0.02)


def test_points_all_too_far_apart_are_no_surface() -> None:
    assert thickness_under(np.array([[-70.0, 41.0], [0.0, 41.0], [70.0, 41.0]])) is None


def test_resampled_keeps_the_area() -> None:
    assert area_mm2(resampled(ellipse(70, 32), 240)) == pytest.approx(np.pi * 70 * 32, rel=2e-3)


def test_inside_points_are_inside() -> None:
    spots = inside_points(ellipse(70, 32, 0, (10, 20), n=90)) - (10, 20)
    assert np.all((spots[:, 0] / 70) ** 2 + (spots[:, 1] / 32) ** 2 < 1)
