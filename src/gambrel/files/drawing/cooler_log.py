"""The air of a cooler over its log: readings as a line, the holding range as a band, times below."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import CURVE, CUT, INK, LINE, QUIET, READY, TARGET
from gambrel.files.drawing.svg import Markup, element, group, label, line, picture, polyline
from gambrel.measures.units import c_from_f, f_from_c

WIDTH, HEIGHT = 900.0, 340.0
LEFT, RIGHT, TOP, FOOT = 70.0, 830.0, 60.0, 280.0


def cooler_svg(
    readings: Sequence[tuple[datetime, float]], *, title: str, hold_c: tuple[float, float], gap_hours: float
) -> str:
    """Air [C] over time, times rising, two readings or more; the line is broken where a gap is longer than allowed."""
    if len(readings) < 2 or any(later[0] <= earlier[0] for earlier, later in pairwise(readings)):
        raise ValueError("a log is drawn from two readings or more, with rising times")
    first, last = readings[0][0], readings[-1][0]
    hours = [(at - first) / timedelta(hours=1) for at, _ in readings]
    air = [air_c for _, air_c in readings]
    across = Scale(0.0, hours[-1], LEFT, RIGHT)
    up = Scale(min(*air, hold_c[0]) - 1.0, max(*air, hold_c[1]) + 1.0, FOOT, TOP)
    places = [(across.at(hour), up.at(air_c)) for hour, air_c in zip(hours, air, strict=True)]
    runs = _runs(places, hours, gap_hours)
    dots = [element("circle", cx=x, cy=y, r=5, fill=CURVE if hold_c[0] <= air_c <= hold_c[1] else CUT)
            for (x, y), air_c in zip(places, air, strict=True)]  # fmt: skip
    return picture(
        WIDTH, HEIGHT,
        label(24, 34, title, size=22, bold=True),
        _hold(hold_c, up), _axes(up),
        *(polyline(run, stroke=CURVE, stroke_width=2.5) for run in runs if len(run) > 1), *dots,
        label(LEFT, FOOT + 26, f"{first:%Y-%m-%d %H:%M}", size=15, fill=QUIET),
        label(RIGHT, FOOT + 26, f"{last:%Y-%m-%d %H:%M}", size=15, anchor="end", fill=QUIET),
        title=title, desc=_in_words(readings),
    )  # fmt: skip


def _in_words(readings: Sequence[tuple[datetime, float]]) -> str:
    return "; ".join(
        f"{at:%Y-%m-%d %H:%M}: {air_c:.1f} °C ({f_from_c(air_c):.0f} °F)" for at, air_c in readings
    )


def _runs(
    places: list[tuple[float, float]], hours: list[float], gap_hours: float
) -> list[list[tuple[float, float]]]:
    runs = [[places[0]]]
    for (before, after), place in zip(pairwise(hours), places[1:], strict=True):
        if after - before > gap_hours:
            runs.append([])
        runs[-1].append(place)
    return runs


def _hold(hold_c: tuple[float, float], up: Scale) -> Markup:
    top, foot = up.at(hold_c[1]), up.at(hold_c[0])
    return group(
        element("rect", x=LEFT, y=top, width=RIGHT - LEFT, height=foot - top, fill=READY, opacity=0.5),
        label(RIGHT - 6, top - 6, "holding range", size=14, anchor="end", fill=TARGET),
    )


def _axes(up: Scale) -> Markup:
    parts: list[Markup] = []
    for value_c in round_marks(up.low, up.high, 5):
        y = up.at(value_c)
        parts.append(line((LEFT, y), (RIGHT, y), stroke=LINE))
        parts.append(label(LEFT - 8, y + 5, mark_text(value_c), size=15, anchor="end"))
    for value_f in round_marks(f_from_c(up.low), f_from_c(up.high), 5):
        parts.append(label(RIGHT + 8, up.at(c_from_f(value_f)) + 5, mark_text(value_f), size=15, fill=QUIET))
    return group(
        *parts, line((LEFT, FOOT), (RIGHT, FOOT), stroke=INK),
        label(LEFT - 8, TOP - 10, "°C", size=15, anchor="end"), label(RIGHT + 8, TOP - 10, "°F", size=15, fill=QUIET),
    )  # fmt: skip
