"""Things beside each other: for each a row with its interval about a line where nothing is different."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import CURVE, FAINT, INK, LINE, MEAT, QUIET
from gambrel.files.drawing.svg import Markup, box, element, group, label, line, picture, shortened
from gambrel.measures import Estimate

WIDTH, NAMES, PLOT_END, TOP, ROW = 1000.0, 300.0, 960.0, 64.0, 34.0


@dataclass(frozen=True, slots=True)
class Row:
    """One thing. `is_real`: told apart from nothing; it is drawn filled and in another colour."""

    name: str
    estimate: Estimate
    is_real: bool


@dataclass(frozen=True, slots=True)
class Words:
    """What the drawing says: its title, the unit of its scale, and what a filled dot means."""

    title: str
    unit: str
    real: str


def compared_svg(rows: Sequence[Row], words: Words, *, nothing_at: float = 0.0) -> str:
    """SVG 1000 wide, a row a thing, all on one scale that holds `nothing_at`."""
    ends = [
        nothing_at,
        *(end for row in rows for end in (row.estimate.p05, row.estimate.p95, row.estimate.mean)),
    ]
    room = max(max(ends) - min(ends), 1e-6)
    scale = Scale(min(ends) - 0.04 * room, max(ends) + 0.04 * room, NAMES, PLOT_END)
    foot = TOP + ROW * max(1, len(rows))
    drawn = [_row(row, TOP + ROW * at, scale, shaded=at % 2 == 0) for at, row in enumerate(rows)]
    return picture(
        WIDTH, foot + 54,
        label(24, 36, shortened(words.title, WIDTH - 48, 22), size=22, bold=True),
        *drawn, line((scale.at(nothing_at), TOP - 8), (scale.at(nothing_at), foot), stroke=INK, width=1.5),
        *_axis(scale, foot, words.unit), _legend(words, foot),
        title=words.title, desc="; ".join(_told(row, words.unit) for row in rows) or words.title,
    )  # fmt: skip


def _told(row: Row, unit: str) -> str:
    one = row.estimate
    return f"{row.name} {mark_text(one.mean)} {unit} ({mark_text(one.p05)}–{mark_text(one.p95)})"


def _legend(words: Words, foot: float) -> Markup:
    dot = element("circle", cx=32, cy=foot + 34, r=6, fill=MEAT)
    return group(dot, label(46, foot + 40, shortened(words.real, NAMES - 80, 15), size=15, fill=QUIET))


def _axis(scale: Scale, foot: float, unit: str) -> list[Markup]:
    parts = []
    for value in round_marks(scale.low, scale.high, 7):
        x = scale.at(value)
        parts.append(line((x, foot), (x, foot + 6), stroke=LINE))
        parts.append(label(x, foot + 24, f"{mark_text(value)} {unit}".strip(), size=15, anchor="middle"))
    return parts


def _row(row: Row, top: float, scale: Scale, *, shaded: bool) -> Markup:
    one, y = row.estimate, top + ROW / 2
    colour = MEAT if row.is_real else CURVE
    parts = [box(16, top, WIDTH - 32, ROW, fill=FAINT)] if shaded else []
    parts += [
        label(NAMES - 14, y + 6, shortened(row.name, NAMES - 40, 16.5), size=16.5, anchor="end"),
        line((scale.at(one.p05), y), (scale.at(one.p95), y), stroke=colour, width=4),
        element("circle", cx=scale.at(one.mean), cy=y, r=6, fill=colour if row.is_real else "#ffffff",
                stroke=colour, stroke_width=2.5, class_="real" if row.is_real else "open"),
    ]  # fmt: skip
    return group(*parts)
