"""Shares over time beside what was promised: for each level a line of what came, and a dashed one of the promise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gambrel.files.drawing.axis import Scale
from gambrel.files.drawing.colours import CURVE, LINE, MEAT, QUIET, TARGET
from gambrel.files.drawing.svg import Markup, element, label, line, picture, polyline, shortened

WIDTH, HEIGHT = 960.0, 380.0
LEFT, RIGHT, TOP, FOOT = 76.0, 780.0, 64.0, 310.0
COLOURS = (TARGET, CURVE, MEAT)


@dataclass(frozen=True, slots=True)
class Moment:
    """A month, or a count of animals, by what it is called, and the share that came by level [%]."""

    name: str
    share_of: Mapping[int, float]


def shares_svg(moments: Sequence[Moment], *, title: str, promised: str) -> str:
    """SVG 960 wide, the moments side by side; `promised` is said beside each dashed line. ValueError without one."""
    if not moments:
        raise ValueError("shares over time are drawn from one moment or more")
    levels = sorted({level for moment in moments for level in moment.share_of})
    across, up = Scale(0.0, max(1.0, len(moments) - 1.0), LEFT + 20, RIGHT - 20), Scale(0.0, 1.0, FOOT, TOP)
    parts = _axes(moments, across, up)
    for number, level in enumerate(levels):
        parts += _level(level, moments, across, up, COLOURS[number % len(COLOURS)], promised)
    told = "; ".join(
        f"{moment.name}: " + ", ".join(f"{level} %: {100 * moment.share_of[level]:.0f} %" for level in levels
                                       if level in moment.share_of)
        for moment in moments
    )  # fmt: skip
    return picture(
        WIDTH, HEIGHT, label(24, 34, shortened(title, WIDTH - 48, 21), size=21, bold=True), *parts,
        title=title, desc=told,
    )  # fmt: skip


def _axes(moments: Sequence[Moment], across: Scale, up: Scale) -> list[Markup]:
    parts = []
    for mark in (0.0, 0.25, 0.5, 0.75, 1.0):
        parts.append(line((LEFT, up.at(mark)), (RIGHT, up.at(mark)), stroke=LINE))
        parts.append(label(LEFT - 10, up.at(mark) + 5, f"{100 * mark:.0f} %", size=15, anchor="end"))
    step = -(-len(moments) // 9)
    for number, moment in enumerate(moments):
        if number % step == 0:
            parts.append(label(across.at(number), FOOT + 28, moment.name, size=15, anchor="middle"))
    return parts


def _level(
    level: int, moments: Sequence[Moment], across: Scale, up: Scale, colour: str, promised: str
) -> list[Markup]:
    y = up.at(level / 100.0)
    points = [(across.at(number), up.at(moment.share_of[level])) for number, moment in enumerate(moments)
              if level in moment.share_of]  # fmt: skip
    dots = [element("circle", cx=x, cy=at, r=5, fill=colour, class_=f"level-{level}") for x, at in points]
    parts = [line((LEFT, y), (RIGHT, y), stroke=colour, width=1.5, dash="6 5"),
             label(RIGHT + 10, y + 5, shortened(f"{promised} {level} %", WIDTH - RIGHT - 14, 15), size=15,
                   fill=QUIET)]  # fmt: skip
    if len(points) > 1:
        parts.append(polyline(points, stroke=colour, stroke_width=3))
    return [*parts, *dots]
