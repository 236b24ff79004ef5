"""The pictures of figures: places by hand on both scales, gaps, extremes, and words for those who do not see them."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.files.drawing import bid, cooler_log, tried, yields
from gambrel.files.drawing.bid import BidCurve, bid_svg
from gambrel.files.drawing.cooler_log import cooler_svg
from gambrel.files.drawing.tried import TriedPicture, tried_svg
from gambrel.files.drawing.yields import CutYield, yields_svg
from gambrel.measures import Estimate

SVG = "{http://www.w3.org/2000/svg}"
BEGINS = datetime(2026, 3, 4, 6, 0)


def parts(svg: str, name: str) -> list[ElementTree.Element]:
    return list(ElementTree.fromstring(svg).iter(f"{SVG}{name}"))


def dots(svg: str) -> list[tuple[float, float]]:
    return [(float(one.get("cx", "")), float(one.get("cy", ""))) for one in parts(svg, "circle")]


def words(svg: str) -> dict[str, tuple[float, float]]:
    """Every text to where it stands."""
    return {
        "".join(one.itertext()): (float(one.get("x", "0")), float(one.get("y", "0")))
        for one in parts(svg, "text")
    }


def told(svg: str) -> str:
    found = ElementTree.fromstring(svg).find(f"{SVG}desc")
    assert found is not None and found.text is not None
    return found.text


def log(*air_c: float, every_h: float = 4.0) -> list[tuple[datetime, float]]:
    return [(BEGINS + timedelta(hours=every_h * n), one) for n, one in enumerate(air_c)]


def cooler(readings: list[tuple[datetime, float]], *, gap_hours: float = 6.0) -> str:
    return cooler_svg(readings, title="Cooler 1", hold_c=(0.0, 3.0), gap_hours=gap_hours)


def test_air_lies_on_the_scale_from_a_degree_below_to_a_degree_above() -> None:
    """From 0 - 1 to 5 + 1 C, 7 degrees on 220 units from the foot at 280: 2 C at 280 - 3 x 220/7."""
    svg = cooler(log(2.0, 5.0, 1.0))
    step = (cooler_log.FOOT - cooler_log.TOP) / 7
    assert [y for _, y in dots(svg)] == pytest.approx(
        [cooler_log.FOOT - step * (one + 1) for one in (2, 5, 1)], abs=0.01
    )
    middle = (cooler_log.LEFT + cooler_log.RIGHT) / 2
    assert [x for x, _ in dots(svg)] == pytest.approx([cooler_log.LEFT, middle, cooler_log.RIGHT], abs=0.01)


def test_celsius_and_fahrenheit_marks_lie_at_the_same_air() -> None:
    """32 F is 0 C, 5 C is 41 F: where both are marked they stand at one height."""
    places = words(cooler(log(-2.0, 10.0)))
    low_c, high_c = places["0"][1], places["10"][1]
    degree = (low_c - high_c) / 10
    marked_f = {
        int(text): y for text, (x, y) in places.items() if re.fullmatch(r"\d+", text) and x > cooler_log.RIGHT
    }
    assert len(marked_f) >= 3
    for value_f, y in marked_f.items():
        assert y == pytest.approx(low_c - (value_f - 32) * 5 / 9 * degree, abs=0.02), value_f


def test_what_is_warmer_or_colder_than_it_may_be_has_another_colour() -> None:
    svg = cooler(log(2.0, 3.0, 3.1, 0.0, -0.1))
    colours = [one.get("fill") for one in parts(svg, "circle")]
    assert colours[0] == colours[1] == colours[3] != colours[2] == colours[4]


@pytest.mark.parametrize(("gap_hours", "lines"), [(3.9, 0), (4.0, 1), (24.0, 1)])
def test_the_line_is_broken_where_nobody_read_for_too_long(gap_hours: float, lines: int) -> None:
    """Readings every four hours: a gap of four is allowed where four are."""
    assert len(parts(cooler(log(1.0, 2.0, 2.5), gap_hours=gap_hours), "polyline")) == lines


def test_one_gap_makes_two_lines_and_every_reading_keeps_its_dot() -> None:
    readings = log(1.0, 2.0) + [(BEGINS + timedelta(hours=30 + n), 2.0) for n in (0, 1, 2)]
    svg = cooler(readings)
    lengths = [len(one.get("points", "").split()) for one in parts(svg, "polyline")]
    assert lengths in ([2, 3], [4, 6]) and len(dots(svg)) == 5


def test_the_log_in_words_has_both_units() -> None:
    """2.5 C x 9/5 + 32 = 36.5 F, shown to the even whole; -1 C is 30.2 F."""
    said = told(cooler(log(3.0, -1.0)))
    assert said == "2026-03-04 06:00: 3.0 °C (37 °F); 2026-03-04 10:00: -1.0 °C (30 °F)"


@pytest.mark.parametrize("readings", [[], log(1.0), log(1.0, 2.0)[::-1], [(BEGINS, 1.0)] * 2], ids=str)
def test_a_log_needs_two_readings_in_order(readings: list[tuple[datetime, float]]) -> None:
    with pytest.raises(ValueError, match="rising times"):
        cooler(readings)


@given(st.lists(st.floats(-40, 40), min_size=2, max_size=40), st.floats(0.1, 48))
@settings(max_examples=40, deadline=None)
def test_whatever_was_read_stays_in_the_picture(air_c: list[float], gap_hours: float) -> None:
    for x, y in dots(cooler(log(*air_c), gap_hours=gap_hours)):
        assert cooler_log.LEFT - 0.01 <= x <= cooler_log.RIGHT + 0.01
        assert cooler_log.TOP - 0.01 <= y <= cooler_log.FOOT + 0.01


def share(mean: float, p05: float, p95: float) -> Estimate:
    return Estimate(mean, p05, p95)


def test_an_interval_runs_from_its_low_to_its_high_end() -> None:
    """4 to 6 % of a scale to 6.18 %: 660 x 4/6.18 and 660 x 6/6.18 to the right of the names."""
    cut = CutYield("tri-tip", share(0.05, 0.04, 0.06), None, share(0.05, 0.045, 0.055))
    svg = yields_svg([cut], title="Yields")
    wide = (yields.PLOT_END - yields.NAMES) / 6.18
    lines = [
        (float(one.get("x1", "")), float(one.get("x2", "")))
        for one in parts(svg, "line")
        if one.get("stroke-dasharray") and float(one.get("y1", "")) > 80
    ]
    assert lines == [pytest.approx((yields.NAMES + 4 * wide, yields.NAMES + 6 * wide), abs=0.01)]


def test_a_cut_that_gives_nothing_is_drawn_too() -> None:
    """A side of which nothing comes of the cuts shown: every figure is nought."""
    nothing = share(0.0, 0.0, 0.0)
    svg = yields_svg([CutYield("cheek", nothing, None, nothing)], title="Yields")
    assert [x for x, _ in dots(svg)] == pytest.approx([yields.NAMES] * 2)
    assert "cheek book 0.0 %, never weighed, both 0.0 %" in told(svg)


@given(st.lists(st.tuples(*[st.floats(0.0, 0.6)] * 3), min_size=1, max_size=8))
@settings(max_examples=40, deadline=None)
def test_no_yield_leaves_the_picture(shares: list[tuple[float, float, float]]) -> None:
    cuts = [
        CutYield(
            f"cut {n}", share(*sorted(one)[1:2], *sorted(one)[::2]), None, share(one[0], min(one), max(one))
        )
        for n, one in enumerate(shares)
    ]
    for x, _ in dots(yields_svg(cuts, title="Yields")):
        assert yields.NAMES - 0.01 <= x <= yields.PLOT_END + 0.01


@pytest.mark.parametrize("offer", [None, 100.0, 100_000.0])
def test_bid_marks_in_pounds_and_kilograms_lie_at_the_same_price(offer: float | None) -> None:
    """A dollar a pound is 2.2046 dollars a kilogram [NIST Handbook 44, appendix C: a pound is 0.45359237 kg]."""
    svg = bid_svg(BidCurve("bison, live", "live", ((0.5, 700.0), (0.9, 500.0)), offer_cents_per_kg=offer))
    places = words(svg)
    by_lb, by_kg = (
        {
            float(text): y
            for text, (x, y) in places.items()
            if re.fullmatch(r"-?[\d]+\.\d\d", text) and where(x)
        }
        for where in (lambda x: x < bid.LEFT, lambda x: x > bid.RIGHT)
    )
    assert len(by_lb) >= 2 and len(by_kg) >= 2
    (low, low_y), (high, high_y) = min(by_kg.items()), max(by_kg.items())
    for dollars_per_lb, y in by_lb.items():
        per_kg = dollars_per_lb / 0.45359237
        assert y == pytest.approx(low_y + (per_kg - low) / (high - low) * (high_y - low_y), abs=0.6)


def test_a_curve_on_which_every_chance_costs_the_same_is_flat() -> None:
    svg = bid_svg(BidCurve("bison, live", "live", ((0.5, 600.0), (0.9, 600.0))))
    assert [y for _, y in dots(svg)] == pytest.approx([(bid.TOP + bid.FOOT) / 2] * 2, abs=0.01)


def test_an_offer_of_nothing_is_told_as_it_is_drawn() -> None:
    svg = bid_svg(BidCurve("bison, live", "live", ((0.5, 600.0), (0.9, 500.0)), offer_cents_per_kg=0.0))
    assert "offer $0.00/lb" in words(svg) and "Offer: $0.00/lb." in told(svg)


@given(
    st.lists(st.integers(0, 1000), min_size=1, max_size=30),
    st.integers(-(10**8), 10**8),
    st.integers(0, 10**6),
)
@settings(max_examples=40, deadline=None)
def test_bars_of_any_draws_stand_side_by_side(bars: list[int], low: int, step: int) -> None:
    edges = tuple(low + step * n for n in range(len(bars) + 1))
    shown = TriedPicture("Tried", "on draws", edges, tuple(bars), (("50", edges[0]),))
    boxes = [
        [float(one.get(name, "")) for name in ("x", "y", "width", "height")]
        for one in parts(tried_svg(shown), "rect")
    ]
    bars_drawn = [
        one for one in boxes if one[2] < tried.WIDTH - 1 and one[1] + one[3] == pytest.approx(tried.FOOT)
    ]
    assert len(bars_drawn) == len(bars)
    assert all(width >= 0 and height >= 0 for _, _, width, height in bars_drawn)
    assert all(y >= tried.TOP - 0.01 for _, y, _, _ in bars_drawn)


@pytest.mark.parametrize("hostile", ["<script>", '"&\x00', "\u202e", "]]>", "a" * 500])
def test_every_picture_is_one_whatever_it_is_called(hostile: str) -> None:
    nothing = share(0.05, 0.04, 0.06)
    for svg in (cooler_svg(log(1.0, 2.0), title=hostile, hold_c=(0, 3), gap_hours=6),
                yields_svg([CutYield(hostile, nothing, None, nothing)], title=hostile),
                bid_svg(BidCurve(hostile, "live", ((0.5, 2.0), (0.9, 1.0)))),
                tried_svg(TriedPicture(hostile, hostile, (0, 1), (1,), ((hostile, 1),)))):  # fmt: skip
        root = ElementTree.fromstring(svg)
        assert root.tag == f"{SVG}svg" and not list(root.iter(f"{SVG}script"))
        assert " style=" not in svg
