"""What a plan earns on draws of what may come off: a bar for each stretch of profit, and three lines across them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import BAND, CURVE, QUIET
from gambrel.files.drawing.svg import Markup, box, group, label, line, picture
from gambrel.measures.money import show_money

WIDTH, HEIGHT = 900.0, 330.0
LEFT, RIGHT, TOP, FOOT = 40.0, 860.0, 108.0, 262.0


@dataclass(frozen=True, slots=True)
class TriedPicture:
    """Counts of draws between rising `edges_cents`, one more than bars, and the profits that are marked by name."""

    title: str
    note: str
    edges_cents: Sequence[int]
    bars: Sequence[int]
    marks: Sequence[tuple[str, int]]


def tried_svg(shown: TriedPicture) -> str:
    """The draws as an SVG picture, 900 by 330."""
    if len(shown.edges_cents) != len(shown.bars) + 1 or any(b < a for a, b in pairwise(shown.edges_cents)):
        raise ValueError("bars lie between rising edges, one more than there are bars")
    low, high = shown.edges_cents[0], shown.edges_cents[-1]
    across = Scale(low, max(high, low + 1), LEFT, RIGHT)
    up = Scale(0.0, float(max(1, *shown.bars)), FOOT, TOP)
    bars = [
        box(
            across.at(start) + 1,
            up.at(count),
            across.at(end) - across.at(start) - 2,
            FOOT - up.at(count),
            fill=BAND,
        )
        for (start, end), count in zip(pairwise(shown.edges_cents), shown.bars, strict=True)
    ]
    told = "; ".join(f"{name} {show_money(cents)}" for name, cents in shown.marks)
    return picture(
        WIDTH, HEIGHT,
        label(24, 34, shown.title, size=23, bold=True),
        label(24, 60, shown.note, size=16, fill=QUIET),
        *bars, _axis(across), *(_mark(across, name, cents, place) for place, (name, cents) in enumerate(shown.marks)),
        title=shown.title, desc=f"{shown.note} {told}",
    )  # fmt: skip


def _axis(across: Scale) -> Markup:
    dollars = round_marks(across.low / 100, across.high / 100, 5)
    return group(
        line((LEFT, FOOT), (RIGHT, FOOT), stroke=QUIET),
        *(
            label(across.at(100 * mark), FOOT + 26, f"${mark_text(mark)}", size=16, anchor="middle")
            for mark in dollars
        ),
    )


def _mark(across: Scale, name: str, cents: int, place: int) -> Markup:
    """A line at a profit with its name over it; names stand to the left, in the middle, to the right of their lines."""
    x = across.at(cents)
    anchor = ("end", "middle", "start")[min(place, 2)]
    return group(
        line((x, TOP - 8), (x, FOOT), stroke=CURVE, width=3),
        label(x, TOP - 16, name, size=16, anchor=anchor, bold=True, fill=CURVE, halo=True),
    )
