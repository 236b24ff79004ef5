"""The picture of the learning curves: every line that the table has, and errors where they belong."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import learning_curves as curves
import pytest

NONE = float("nan")


def a_point(animals: int, error: float, mean: float = NONE, ridge: float = NONE) -> curves.Point:
    return curves.Point(animals, error, 90.0, mean, ridge)


POINTS = [
    (a_point(0, 0.6), a_point(0, 0.6)),
    (a_point(10, 0.4, 0.55, 0.5), a_point(10, 0.45, 0.58, 0.7)),
    (a_point(30, 0.2, 0.5, 0.25), a_point(30, 0.3, 0.52, 1.5)),
]


def lines() -> list[list[tuple[float, float]]]:
    drawn = ElementTree.fromstring(curves.curves_svg(POINTS)).iter("{http://www.w3.org/2000/svg}polyline")
    return [[(float(x), float(y)) for x, y in re.findall(r"([\d.]+),([\d.]+)", one.get("points", ""))]
            for one in drawn]  # fmt: skip


def test_five_lines_with_a_place_for_every_animal_count_they_have() -> None:
    assert [len(places) for places in lines()] == [
        3,
        3,
        2,
        2,
        2,
    ]  # without an animal there is no mean and no ridge


def test_less_error_stands_lower_and_more_animals_farther_right() -> None:
    learned = lines()[0]
    assert [x for x, _ in learned] == sorted(x for x, _ in learned)
    assert [y for _, y in learned] == sorted(y for _, y in learned)
    # 0.6 to 0.4 is as far as 0.4 to 0.2; ten animals are a third of the way to thirty
    assert learned[1][1] - learned[0][1] == pytest.approx(learned[2][1] - learned[1][1], abs=0.02)
    assert learned[1][0] - learned[0][0] == pytest.approx((learned[2][0] - learned[0][0]) / 3.0, abs=0.02)


def test_what_is_beyond_the_paper_is_cut_off_and_names_stand_beside() -> None:
    assert lines()[4][1][1] == pytest.approx(40.0)  # 1.5 points, drawn at the top of 0.8
    svg = curves.curves_svg(POINTS)
    assert all(
        name in svg for name in ("learned, spoiled", "plain mean", "ridge, spoiled", "animals learned from")
    )


def test_a_row_of_the_table() -> None:
    assert curves.row_of(*POINTS[1]) == "| 10 | 0.400 | 90.0 | 0.550 | 0.500 | 0.450 | 90.0 | 0.700 |"
    assert curves.row_of(*POINTS[0]).count("–") == 3


def test_the_picture_in_the_guide_is_one_of_these() -> None:
    drawn = ElementTree.fromstring(curves.PLOT.read_text("utf-8"))
    assert len(list(drawn.iter("{http://www.w3.org/2000/svg}polyline"))) == 5
