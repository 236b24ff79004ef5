"""The curve of the weight on the rail: both scales agree, the weighings are on it, the window is shown."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gambrel.files.drawing.inputs import RailPoint, Weighing
from gambrel.files.drawing.lines import FOOT, LEFT, RIGHT, TOP, curve_svg
from gambrel.measures.estimate import Estimate

SVG = "{http://www.w3.org/2000/svg}"


def marks(picture, x: float) -> dict[float, float]:
    return {float(node.text): float(node.get("y")) for node in picture.root.iter(f"{SVG}text")
            if node.get("x") == f"{x:g}" and node.text.replace(".", "").isdigit()}  # fmt: skip


def test_axes_title_and_ends_are_named(sample_curve, drawn):
    picture = drawn(curve_svg(sample_curve))
    assert {"kg", "lb", "179.0 kg · 394.6 lb", "today", "ready day 10 to 21, best 14"} <= set(picture.texts)
    assert any(text.startswith("days since the kill") for text in picture.texts)
    assert "day 5: 174.1 kg" in picture.desc


def test_both_weight_scales_agree(sample_curve, drawn):
    """1 lb = 0.45359237 kg [International yard and pound agreement, 1959]."""
    picture = drawn(curve_svg(sample_curve))
    kilos, pounds = marks(picture, LEFT - 12), marks(picture, RIGHT + 13)
    assert len(kilos) >= 4 and len(pounds) >= 4
    low, high = min(kilos), max(kilos)
    per_kg = (kilos[high] - kilos[low]) / (high - low)
    for value_lb, y in pounds.items():
        assert y == pytest.approx(kilos[low] + (value_lb * 0.45359237 - low) * per_kg, abs=0.1)


def test_curve_band_and_weighings_are_drawn(sample_curve, drawn):
    picture = drawn(curve_svg(sample_curve))
    (curve,) = picture.root.iter(f"{SVG}polyline")
    assert len(curve.get("points").split()) == len(sample_curve.points)
    (band,) = picture.root.iter(f"{SVG}polygon")
    assert len(band.get("points").split()) == 2 * len(sample_curve.points)
    dots = list(picture.root.iter(f"{SVG}circle"))
    assert len(dots) == len(sample_curve.weighings)
    places = [pair.split(",") for pair in band.get("points").split()]
    assert all(LEFT - 0.1 <= float(x) <= RIGHT + 0.1 and TOP <= float(y) <= FOOT for x, y in places)


def test_a_curve_without_extras(sample_curve, drawn):
    bare = replace(sample_curve, weighings=(), window_days=None, today_days=None)
    picture = drawn(curve_svg(bare))
    assert "today" not in picture.texts
    assert not any(text.startswith("ready") for text in picture.texts)


def test_a_window_beyond_the_days_is_cut_at_the_edge(sample_curve, drawn):
    picture = drawn(curve_svg(replace(sample_curve, window_days=(10, 30, 40))))
    band = next(node for node in picture.root.iter(f"{SVG}rect") if node.get("opacity"))
    assert float(band.get("x")) + float(band.get("width")) == pytest.approx(RIGHT)


def test_a_flat_exact_curve_is_drawn_too(drawn):
    from gambrel.files.drawing.inputs import RailCurve

    curve = RailCurve(
        "<b>flat</b>",
        (RailPoint(0, Estimate.exact(100.0)), RailPoint(1, Estimate.exact(100.0))),
        (Weighing(0, 100.0),),
    )
    picture = drawn(curve_svg(curve))
    assert "<b>flat</b>" in picture.texts
    assert "b" not in picture.tags()


@pytest.mark.parametrize("days", [(), (0.0,), (0.0, 0.0), (3.0, 1.0)])
def test_a_curve_needs_rising_days(sample_curve, days):
    points = tuple(RailPoint(day, Estimate.exact(10.0)) for day in days)
    with pytest.raises(ValueError, match="rising"):
        curve_svg(replace(sample_curve, points=points))
