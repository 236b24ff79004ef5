"""Weight on the rail day by day: a curve with its 90 % band, the weighings, and the ready window."""

from __future__ import annotations

from itertools import pairwise

from gambrel.files.drawing import say
from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import BAND, CURVE, CUT, INK, LINE, PAPER, QUIET, READY, TARGET
from gambrel.files.drawing.inputs import RailCurve
from gambrel.files.drawing.svg import (
    Markup,
    element,
    group,
    label,
    line,
    picture,
    polygon,
    polyline,
    shortened,
)
from gambrel.files.speech import spoken
from gambrel.measures.units import kg_from_lb, lb_from_kg

WIDTH, HEIGHT = 1000.0, 560.0
LEFT, RIGHT, TOP, FOOT = 84.0, 916.0, 112.0, 452.0


def curve_svg(curve: RailCurve) -> str:
    """One curve as an SVG picture, 1000 by 560; at least two points, days rising."""
    days = [point.days for point in curve.points]
    if len(days) < 2 or any(later <= earlier for earlier, later in pairwise(days)):
        raise ValueError("a curve needs two points or more, with rising days")
    across, up = _scales(curve)
    note = " ".join(
        part
        for part in (
            "Curve: mean. Band: 90 % interval. Dots: the scale. The shop's own estimates.",
            curve.note,
        )
        if part
    )
    return picture(
        WIDTH, HEIGHT,
        label(24, 38, shortened(curve.title, WIDTH - 48, 25), size=25, bold=True),
        label(24, 64, shortened(note, WIDTH - 48, 16), size=16, fill=QUIET),
        _window(curve, across), _axes(across, up), _band(curve, across, up), _ends(curve, across, up),
        title=curve.title, desc=_in_words(curve),
    )  # fmt: skip


def _in_words(curve: RailCurve) -> str:
    told = "; ".join(
        spoken(f"day {mark_text(p.days)}: {say.kg_lb(p.kg.mean)} ({say.span_kg(p.kg)})") for p in curve.points
    )
    weighed = "; ".join(spoken(f"day {mark_text(w.days)}: {say.kg(w.kg)}") for w in curve.weighings)
    on_the_scale = " " + spoken(f"Weighed {weighed}.") if weighed else ""
    return spoken("Weight on the rail.") + f" {told}.{on_the_scale}"


def _scales(curve: RailCurve) -> tuple[Scale, Scale]:
    weights = [point.kg.p05 for point in curve.points] + [point.kg.p95 for point in curve.points]
    weights += [weighing.kg for weighing in curve.weighings]
    days = [point.days for point in curve.points] + [weighing.days for weighing in curve.weighings]
    pad = max(0.5, 0.12 * (max(weights) - min(weights)))
    return (Scale(min(days), max(days), LEFT, RIGHT),
            Scale(min(weights) - pad, max(weights) + pad, FOOT, TOP))  # fmt: skip


def _axes(across: Scale, up: Scale) -> Markup:
    parts: list[Markup] = []
    for value in round_marks(up.low, up.high, 6):
        y = up.at(value)
        parts.append(line((LEFT, y), (RIGHT, y), stroke=LINE))
        parts.append(label(LEFT - 12, y + 5.5, mark_text(value), size=17, anchor="end"))
    for value_lb in round_marks(lb_from_kg(up.low), lb_from_kg(up.high), 6):
        y = up.at(kg_from_lb(value_lb))
        parts.append(line((RIGHT, y), (RIGHT + 7, y), stroke=QUIET, width=1.5))
        parts.append(label(RIGHT + 13, y + 5.5, mark_text(value_lb), size=17, fill=QUIET))
    for day in round_marks(across.low, across.high, 12):
        x = across.at(day)
        parts.append(line((x, FOOT), (x, FOOT + 7), stroke=QUIET, width=1.5))
        parts.append(label(x, FOOT + 27, mark_text(day), size=17, anchor="middle"))
    return group(
        *parts,
        line((LEFT, FOOT), (RIGHT, FOOT), stroke=QUIET),
        label(LEFT - 12, TOP - 12, "kg", size=17, anchor="end"),
        label(RIGHT + 13, TOP - 12, "lb", size=17, fill=QUIET),
        label(
            (LEFT + RIGHT) / 2,
            FOOT + 54,
            "days since the kill (the scale does not start at 0 kg)",
            size=17,
            anchor="middle",
            fill=QUIET,
        ),
    )


def _window(curve: RailCurve, across: Scale) -> Markup:
    """The ready window as a pale band behind, its best day as a line, and today."""
    parts: list[Markup] = []
    if curve.window_days is not None:
        first, best, last = (min(max(float(day), across.low), across.high) for day in curve.window_days)
        left, right = across.at(first), across.at(last)
        parts.append(
            element("rect", x=left, y=TOP, width=right - left, height=FOOT - TOP, fill=READY, opacity=0.45)
        )
        if across.low <= curve.window_days[1] <= across.high:
            parts.append(
                line((across.at(best), TOP), (across.at(best), FOOT), stroke=TARGET, width=2, dash="7 5")
            )
        text = f"ready day {curve.window_days[0]} to {curve.window_days[2]}, best {curve.window_days[1]}"
        middle = min(max((left + right) / 2, LEFT + 130), RIGHT - 130)
        parts.append(label(middle, TOP - 12, text, size=17, anchor="middle", fill=TARGET))
    if curve.today_days is not None and across.low <= curve.today_days <= across.high:
        x = across.at(curve.today_days)
        parts.append(line((x, TOP), (x, FOOT), stroke=INK, width=1.5))
        parts.append(label(x + 7, FOOT - 12, "today", size=16, bold=True, halo=True))
    return group(*parts)


def _band(curve: RailCurve, across: Scale, up: Scale) -> Markup:
    top = [(across.at(point.days), up.at(point.kg.p95)) for point in curve.points]
    low = [(across.at(point.days), up.at(point.kg.p05)) for point in curve.points]
    middle = [(across.at(point.days), up.at(point.kg.mean)) for point in curve.points]
    dots = [
        element("circle", cx=across.at(w.days), cy=up.at(w.kg), r=6, fill=CUT, stroke=PAPER, stroke_width=1.5)
        for w in curve.weighings
    ]
    return group(polygon([*top, *reversed(low)], fill=BAND, opacity=0.8),
                 polyline(middle, stroke=CURVE, stroke_width=3), *dots)  # fmt: skip


def _ends(curve: RailCurve, across: Scale, up: Scale) -> Markup:
    """The first weight in figures above the falling curve, the last one below it."""
    parts: list[Markup] = []
    for point, anchor, shift, drop in (
        (curve.points[0], "start", 12.0, -12.0),
        (curve.points[-1], "end", -10.0, 34.0),
    ):
        x, y = across.at(point.days) + shift, up.at(point.kg.mean) + drop
        y = min(max(y, TOP + 18), FOOT - 12)
        parts.append(label(x, y, say.kg_lb(point.kg.mean), size=18, bold=True, anchor=anchor, halo=True))
    return group(*parts)
