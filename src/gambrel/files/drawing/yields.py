"""What cuts yield: for each a row with the book's interval, the shop's own and both together, as shares of the side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import BONE_EDGE, CURVE, FAINT, INK, LINE, MEAT, QUIET
from gambrel.files.drawing.svg import Markup, box, element, fitted, group, label, line, picture, shortened
from gambrel.files.speech import spoken
from gambrel.measures import Estimate

WIDTH, NAMES, PLOT_END, TOP, ROW = 1000.0, 300.0, 960.0, 104.0, 46.0
LOOKS = (("book", BONE_EDGE, "4 3"), ("own", MEAT, None), ("both", CURVE, None))
"""Whose, its colour, its dash; told apart by place and dash too."""
LEAST_SHARE = 0.001
"""The scale goes to this at the least, also where nothing comes off."""


@dataclass(frozen=True, slots=True)
class CutYield:
    """One cut as shares of the side; `own` None where the shop never weighed it."""

    name: str
    book: Estimate
    own: Estimate | None
    both: Estimate


def yields_svg(cuts: Sequence[CutYield], *, title: str) -> str:
    """SVG 1000 wide, a row a cut: the book dashed above, the shop's own in the middle, both below."""
    every = [one for cut in cuts for one in (cut.book, cut.own, cut.both) if one is not None]
    scale = Scale(0.0, 100.0 * 1.03 * max([LEAST_SHARE, *(one.p95 for one in every)]), NAMES, PLOT_END)
    foot = TOP + ROW * max(1, len(cuts))
    told = "; ".join(f"{spoken(cut.name)} {_told(cut)}" for cut in cuts)
    rows = [_row(cut, TOP + ROW * at, scale, shaded=at % 2 == 0) for at, cut in enumerate(cuts)]
    if not cuts:
        rows.append(label(24, TOP + 18, "no cut to show", size=17, fill=QUIET))
    return picture(
        WIDTH, foot + 50,
        label(24, 36, shortened(title, WIDTH - 48, 23), size=23, bold=True),
        *_legend(), *rows, *_axis(scale, foot),
        title=title, desc=spoken("Share of the side by the book, own, and both.") + f" {told}.",
    )  # fmt: skip


def _told(cut: CutYield) -> str:
    own = "never weighed" if cut.own is None else f"own {100 * cut.own.mean:.1f} %"
    return spoken(f"book {100 * cut.book.mean:.1f} %, {own}, both {100 * cut.both.mean:.1f} %")


def _legend() -> list[Markup]:
    marks = []
    for at, (name, colour, dash) in enumerate(LOOKS):
        x = NAMES + 150.0 * at
        marks += [
            line((x, 68), (x + 40, 68), stroke=colour, width=5, dash=dash),
            label(x + 50, 74, name, size=17),
        ]
    return [label(24, 74, "dot: mean; line: 90 %", size=16, fill=QUIET), *marks]


def _axis(scale: Scale, foot: float) -> list[Markup]:
    parts = [line((NAMES, TOP - 6), (NAMES, foot), stroke=LINE)]
    for value in round_marks(0.0, scale.high, 7):
        parts.append(label(scale.at(value), foot + 24, f"{mark_text(value)} %", size=16, anchor="middle"))
    return parts


def _row(cut: CutYield, top: float, scale: Scale, *, shaded: bool) -> Markup:
    parts = [box(16, top, WIDTH - 32, ROW, fill=FAINT)] if shaded else []
    name_said, size = fitted(cut.name, NAMES - 40, 16.5)
    parts.append(label(NAMES - 14, top + 29, name_said, size=size, anchor="end", fill=INK))
    for at, (name, colour, dash) in enumerate(LOOKS):
        one: Estimate | None = getattr(cut, name)
        if one is None:
            continue
        y = top + 11.0 + 12.0 * at
        parts.append(
            line(
                (scale.at(100 * one.p05), y), (scale.at(100 * one.p95), y), stroke=colour, width=5, dash=dash
            )
        )
        parts.append(element("circle", cx=scale.at(100 * one.mean), cy=y, r=4.5, fill=colour, class_=name))
    return group(*parts)
