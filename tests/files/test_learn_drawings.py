"""Drawings of what was learned: every dot stands where its figure says, worked out from the scale by hand."""

from __future__ import annotations

import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest

from gambrel.files.drawing.compared import NAMES, PLOT_END, Row, Words, compared_svg
from gambrel.files.drawing.shares_over_time import FOOT, LEFT, RIGHT, TOP, Moment, shares_svg
from gambrel.measures import Estimate

WORDS = Words("Beyond the middle", "kg", "a real difference")


def rows() -> list[Row]:
    return [Row("Oak & Sons", Estimate(2.0, 1.0, 3.0), True), Row("Elm", Estimate(-1.0, -2.0, 0.5), False)]


def circles(svg: str, name: str) -> list[tuple[float, float]]:
    found = ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}circle")
    return [(float(one.attrib["cx"]), float(one.attrib["cy"])) for one in found if one.get("class") == name]


def test_dots_stand_at_their_means_and_the_line_at_nothing() -> None:
    """The scale goes from 4 % of the span below the lowest end (-2 - 0.2) to 4 % above the highest (3 + 0.2)."""
    svg = compared_svg(rows(), WORDS)

    def at(value: float) -> float:
        return NAMES + (value + 2.2) / 5.4 * (PLOT_END - NAMES)

    assert circles(svg, "real")[0][0] == pytest.approx(at(2.0), abs=0.01)
    assert circles(svg, "open")[0][0] == pytest.approx(at(-1.0), abs=0.01)
    lines = [float(x) for x in re.findall(r'<line x1="([\d.]+)" y1="56"', svg)]
    assert lines == [pytest.approx(at(0.0), abs=0.01)]


def test_nothing_may_lie_elsewhere_and_is_always_on_the_paper() -> None:
    svg = compared_svg([Row("Elm", Estimate(1.2, 1.1, 1.3), True)], WORDS, nothing_at=1.0)
    x = float(re.findall(r'<line x1="([\d.]+)" y1="56"', svg)[0])
    assert NAMES < x < circles(svg, "real")[0][0] < PLOT_END


@pytest.mark.parametrize("count", [0, 1, 40])
def test_any_number_of_rows_is_a_whole_picture(count: int) -> None:
    svg = compared_svg([Row(f"<{number}>", Estimate.exact(0.0), False) for number in range(count)], WORDS)
    root = ElementTree.fromstring(svg)
    assert len(circles(svg, "open")) == count
    assert float(root.attrib["height"]) == 64 + 34 * max(1, count) + 54


def test_the_description_says_every_figure() -> None:
    root = ElementTree.fromstring(compared_svg(rows(), WORDS))
    desc = root.find("{http://www.w3.org/2000/svg}desc")
    assert desc is not None and desc.text == "Oak & Sons 2 kg (1–3); Elm -1 kg (-2–0.5)"


def test_shares_stand_at_their_height_and_the_promise_is_dashed() -> None:
    moments = [Moment("2026-01", {50: 0.4, 90: 1.0}), Moment("2026-02", {50: 0.5, 90: 0.8})]
    svg = shares_svg(moments, title="Inside", promised="promised")
    height = FOOT - TOP
    assert [y for _, y in circles(svg, "level-50")] == pytest.approx(
        [FOOT - 0.4 * height, FOOT - 0.5 * height]
    )
    assert [y for _, y in circles(svg, "level-90")] == pytest.approx([TOP, FOOT - 0.8 * height])
    assert [x for x, _ in circles(svg, "level-90")] == pytest.approx([LEFT + 20, RIGHT - 20])
    dashed = re.findall(r'y1="([\d.]+)"[^>]*stroke-dasharray', svg)
    assert [float(y) for y in dashed] == pytest.approx([FOOT - 0.5 * height, FOOT - 0.9 * height])


def test_a_month_without_a_level_has_no_dot_of_it_and_one_month_alone_is_no_line() -> None:
    svg = shares_svg([Moment("2026-01", {90: 0.9})], title="Inside", promised="promised")
    assert len(circles(svg, "level-90")) == 1 and "polyline" not in svg
    two = shares_svg([Moment("a", {50: 0.5}), Moment("b", {90: 0.9})], title="Inside", promised="promised")
    assert len(circles(two, "level-50")) == len(circles(two, "level-90")) == 1


def test_many_months_are_named_so_that_no_name_lies_on_another() -> None:
    moments = [Moment(f"2026-{number:02d}", {90: 0.9}) for number in range(1, 31)]
    svg = shares_svg(moments, title="Inside", promised="promised")
    named = re.findall(r">2026-\d\d<", svg)
    assert 5 <= len(named) <= 9
    places = sorted(float(x) for x in re.findall(r'<text x="([\d.]+)" y="338"', svg))
    assert min(b - a for a, b in pairwise(places)) > 8 * 0.56 * 15


def test_without_a_month_there_is_nothing_to_draw() -> None:
    with pytest.raises(ValueError, match="one moment"):
        shares_svg([], title="Inside", promised="promised")
