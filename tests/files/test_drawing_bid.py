"""The bid curve as a picture: places by hand arithmetic, the offer across it, words for those who do not see it."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from gambrel.files.drawing.bid import FOOT, LEFT, RIGHT, TOP, BidCurve, bid_svg

POINTS = ((0.5, 700.0), (0.75, 600.0), (0.9, 500.0))
SVG = "{http://www.w3.org/2000/svg}"


def circles(svg: str) -> list[tuple[float, float]]:
    return [
        (float(one.get("cx", "")), float(one.get("cy", "")))
        for one in ElementTree.fromstring(svg).iter(f"{SVG}circle")
    ]


def test_chances_run_across_and_prices_up() -> None:
    places = circles(bid_svg(BidCurve("bison, on the rail", "rail", POINTS)))
    assert [x for x, _ in places] == pytest.approx([LEFT, LEFT + (RIGHT - LEFT) * 25 / 40, RIGHT], abs=0.01)
    # 12 % of the span of 200 cents is left free above and below.
    up = (FOOT - TOP) / 248
    assert [y for _, y in places] == pytest.approx([TOP + 24 * up, TOP + 124 * up, TOP + 224 * up], abs=0.01)


def test_the_offer_is_drawn_where_it_lies() -> None:
    svg = bid_svg(BidCurve("bison, live", "live", POINTS, offer_cents_per_kg=600.0))
    dashed = [one for one in ElementTree.fromstring(svg).iter(f"{SVG}line") if one.get("stroke-dasharray")]
    assert [float(one.get("y1", "")) for one in dashed] == pytest.approx([circles(svg)[1][1]], abs=0.01)
    assert "offer $2.72/lb" in svg, "600 cents a kilogram are 272 cents a pound: 600 x 0.45359237"


def test_an_offer_beyond_the_curve_stays_in_the_picture() -> None:
    svg = bid_svg(BidCurve("bison, live", "live", POINTS, offer_cents_per_kg=2000.0))
    dashed = next(
        one for one in ElementTree.fromstring(svg).iter(f"{SVG}line") if one.get("stroke-dasharray")
    )
    assert TOP <= float(dashed.get("y1", "")) <= FOOT


def test_everything_is_said_in_words() -> None:
    svg = bid_svg(BidCurve("bison, live", "live", POINTS))
    told = re.search(r"<desc[^>]*>(.*?)</desc>", svg)
    assert told is not None and "50 % certain: $3.18/lb" in told[1] and "90 % certain: $2.27/lb" in told[1]
    assert "<style" not in svg and " style=" not in svg and "<script" not in svg


@pytest.mark.parametrize("points", [(), (POINTS[0],), (POINTS[1], POINTS[0])], ids=["none", "one", "falling"])
def test_a_curve_needs_rising_chances(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ValueError, match="rising chances"):
        bid_svg(BidCurve("bison", "rail", points))
