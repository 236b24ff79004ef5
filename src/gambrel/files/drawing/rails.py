"""Every side on its rail, to scale: where it hangs, how long it has hung, whether it is ready, what it weighs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.files.drawing import say
from gambrel.files.drawing.colours import CUT, INK, LINE, OVER, PAPER, QUIET, READY, TARGET, WAIT
from gambrel.files.drawing.svg import Markup, box, element, group, label, line, picture, shortened
from gambrel.measures.estimate import Estimate

WIDTH, LEFT, RIGHT = 1100.0, 20.0, 1080.0
ROW, HEAD, SIDE_TOP, SIDE_HEIGHT = 210.0, 34.0, 60.0, 118.0
LEAST_SIDE_WIDTH = 66.0
BAR_BELOW, BAR = 148.0, 8.0
"""The bar of a side's window: so far below the rail, so high."""

STATES = ("early", "ready", "late")
_FILLS = {"early": WAIT, "ready": READY, "late": OVER}
_EDGES = {"early": QUIET, "ready": TARGET, "late": CUT}


@dataclass(frozen=True, slots=True)
class RailWords:
    """What the picture says, in the language of whoever looks at it; {} is filled with a number of days."""

    early: str = "not ready yet"
    ready: str = "ready"
    late: str = "past its latest day"
    day: str = "day {}"
    window: str = "ready from day {} to {}"
    empty: str = "empty"

    def of(self, state: str) -> str:
        return {"early": self.early, "ready": self.ready, "late": self.late}[state]


ENGLISH = RailWords()


@dataclass(frozen=True, slots=True)
class SideOnPlace:
    """A side at its place from the rail's start; `days` since the kill, `state` early, ready or late.

    `window_days` are the earliest, best and latest day for cutting; None where they are not known.
    """

    name: str
    place_mm: float
    days: int
    state: str
    weight_kg: Estimate
    window_days: tuple[int, int, int] | None = None


@dataclass(frozen=True, slots=True)
class RailRow:
    """One rail; `note` says where it is warmer or colder than the room."""

    name: str
    length_mm: float
    sides: tuple[SideOnPlace, ...]
    note: str = ""


def rails_svg(rails: Sequence[RailRow], *, title: str, side_mm: float, words: RailWords = ENGLISH) -> str:
    """The rails of a room below each other, the longest across the whole width; at least one rail."""
    if not rails or side_mm <= 0:
        raise ValueError("a picture of rails needs a rail, and a side takes some of it")
    longest_mm = max(rail.length_mm for rail in rails)
    height = HEAD + ROW * len(rails) + 34
    rows = [_row(rail, HEAD + ROW * number, longest_mm, side_mm, words) for number, rail in enumerate(rails)]
    return picture(
        WIDTH, height, *rows, _legend(height - 12, words), title=title, desc=_in_words(rails, words)
    )


def _in_words(rails: Sequence[RailRow], words: RailWords) -> str:
    told = [
        f"{rail.name}: {'; '.join(_side_in_words(side, words) for side in rail.sides) or words.empty}."
        for rail in rails
    ]
    return " ".join(told)


def _side_in_words(side: SideOnPlace, words: RailWords) -> str:
    window = side.window_days
    parts = [side.name, words.day.format(side.days), words.of(side.state)]
    if window is not None:
        parts.append(words.window.format(window[0], window[2]))
    return ", ".join([*parts, say.kg_lb(side.weight_kg.mean)])


def _row(rail: RailRow, top: float, longest_mm: float, side_mm: float, words: RailWords) -> Markup:
    per_mm = (RIGHT - LEFT) / longest_mm
    end = LEFT + rail.length_mm * per_mm
    said = f"{rail.name}, {rail.length_mm / 1000:.1f} m" + (f", {rail.note}" if rail.note else "")
    y = top + 46
    marks = [line((LEFT + mm * per_mm, y - 6), (LEFT + mm * per_mm, y + 6), stroke=LINE, width=2)
             for mm in _metres(rail.length_mm)]  # fmt: skip
    width = max(LEAST_SIDE_WIDTH, min(110.0, side_mm * per_mm - 8))
    sides = [_side(side, LEFT + side.place_mm * per_mm, y, width, words) for side in rail.sides]
    return group(
        label(LEFT, top + 24, said, size=18, bold=True),
        line((LEFT, y), (end, y), stroke=INK, width=5), *marks, *sides,
    )  # fmt: skip


def _metres(length_mm: float) -> range:
    return range(1000, int(length_mm) + 1, 1000)


def _side(side: SideOnPlace, x: float, rail_y: float, width: float, words: RailWords) -> Markup:
    """A hook, the shape of a hanging side, what there is to say of it inside, and its window below."""
    fill, edge = _FILLS[side.state], _EDGES[side.state]
    middle, top = x + width / 2, rail_y + 14
    ink = PAPER if side.state == "late" else INK
    shape = (
        f"M{middle - width * 0.3:.1f} {top:.1f} Q{x:.1f} {top + 26:.1f} {x + 2:.1f} {top + 66:.1f} "
        f"Q{x:.1f} {top + SIDE_HEIGHT:.1f} {middle:.1f} {top + SIDE_HEIGHT + 8:.1f} "
        f"Q{x + width:.1f} {top + SIDE_HEIGHT:.1f} {x + width - 2:.1f} {top + 66:.1f} "
        f"Q{x + width:.1f} {top + 26:.1f} {middle + width * 0.3:.1f} {top:.1f} Z"
    )
    lines = ((side.name, 15, True), (words.day.format(side.days), 14, False),
             (words.of(side.state), 14, side.state != "early"),
             (say.kg(side.weight_kg.mean), 13, False), (say.lb(side.weight_kg.mean), 13, False))  # fmt: skip
    said = [label(middle, top + 26 + 19 * number, shortened(text, width - 6, size), size=size, anchor="middle",
                  bold=bold, fill=ink) for number, (text, size, bold) in enumerate(lines)]  # fmt: skip
    return group(
        line((middle, rail_y), (middle, top + 4), stroke=QUIET, width=3),
        element("path", d=shape, fill=fill, stroke=edge, stroke_width=2), *said,
        *_window_bar(side, x, rail_y + BAR_BELOW, width),
    )  # fmt: skip


def _window_bar(side: SideOnPlace, x: float, y: float, width: float) -> list[Markup]:
    """The days from the kill to the latest (or to today, when that is past): the window, its best day, today."""
    if side.window_days is None:
        return []
    earliest, best, latest = side.window_days
    per_day = width / max(latest, side.days, 1)
    today_x = x + side.days * per_day
    return [
        box(x, y, width, BAR, fill=WAIT),
        box(
            x + earliest * per_day, y, max(2.0, (latest - earliest) * per_day), BAR, fill=READY, stroke=TARGET
        ),
        line((x + best * per_day, y), (x + best * per_day, y + BAR), stroke=TARGET, width=2, dash="2 2"),
        line((today_x, y - 4), (today_x, y + BAR + 4), stroke=OVER if side.state == "late" else INK, width=3),
    ]


def _legend(y: float, words: RailWords) -> Markup:
    parts: list[Markup] = []
    for number, state in enumerate(STATES):
        x = LEFT + 220 * number
        parts.append(box(x, y - 13, 18, 16, fill=_FILLS[state], stroke=_EDGES[state]))
        parts.append(label(x + 26, y, words.of(state), size=15, fill=QUIET))
    return group(*parts)
