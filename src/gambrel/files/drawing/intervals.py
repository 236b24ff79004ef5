"""Forecast intervals: one row a piece, a dot for the mean and a bar for 90 %, kg below and lb above."""

from __future__ import annotations

from collections.abc import Sequence

from gambrel.files.drawing import say
from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import BAND, CURVE, FAINT, INK, LINE, QUIET
from gambrel.files.drawing.inputs import PieceInterval
from gambrel.files.drawing.svg import Markup, box, element, fitted, group, label, line, picture, shortened
from gambrel.files.speech import spoken
from gambrel.measures.units import kg_from_lb, lb_from_kg

WIDTH = 1000.0
ROW = 25.0
NAMES = 320.0
PLOT_END = 652.0
TOP = 118.0

Row = PieceInterval | str
"""A piece, or the heading of a group."""


def interval_pages(
    pieces: Sequence[PieceInterval], *, title: str, rows_per_page: int = 44, note: str = ""
) -> list[str]:
    """SVG pictures 1000 wide of at most `rows_per_page` rows, headings counted; all on one scale.

    Groups stay in the order given, the heaviest piece of each first; one that runs over is headed again.
    """
    if rows_per_page < 2:
        raise ValueError("a page needs room for a heading and a piece")
    if any(piece.kg.p05 > piece.kg.p95 for piece in pieces):
        raise ValueError("an interval's low end lies above its high end")
    pages = _pages(pieces, rows_per_page)
    most = max((piece.kg.p95 for piece in pieces), default=0.0)
    scale = Scale(0.0, most * 1.02 if most > 0 else 1.0, NAMES, PLOT_END)
    return [
        _page(rows, scale, title if len(pages) == 1 else f"{title} ({number} of {len(pages)})", note)
        for number, rows in enumerate(pages, 1)
    ]


def _pages(pieces: Sequence[PieceInterval], rows_per_page: int) -> list[list[Row]]:
    pages: list[list[Row]] = [[]]
    groups = list(dict.fromkeys(piece.group for piece in pieces))
    for name in groups:
        members = sorted((p for p in pieces if p.group == name), key=lambda p: -p.kg.mean)
        heading = name
        while members:
            room = rows_per_page - len(pages[-1]) - 1
            if room < min(2, len(members)) and pages[-1]:
                pages.append([])
                continue
            pages[-1].extend([heading, *members[:room]])
            members = members[room:]
            heading = f"{name}, continued"
    return pages


def _page(rows: Sequence[Row], scale: Scale, title: str, note: str) -> str:
    foot = TOP + ROW * max(1, len(rows))
    marks = [_row(row, TOP + ROW * index, scale) for index, row in enumerate(rows)]
    if not rows:
        marks.append(label(24, TOP + 18, "no pieces in this forecast", size=17, fill=QUIET))
    caption = "Dot: mean. Bar: 90 % interval. The shop's own estimates." + (f" {note}" if note else "")
    pieces = [row for row in rows if not isinstance(row, str)]
    told = "; ".join(
        f"{spoken(piece.name)} {say.kg(piece.kg.mean)} ({say.span_kg(piece.kg)})" for piece in pieces
    )
    return picture(
        WIDTH,
        foot + 76,
        label(24, 36, shortened(title, WIDTH - 48, 25), size=25, bold=True),
        label(24, 62, shortened(caption, WIDTH - 48, 16), size=16, fill=QUIET),
        _axes(scale, foot),
        *marks,
        title=title,
        desc=spoken("Weight of each piece with its 90 % interval.") + f" {told}.",
    )


def _axes(scale: Scale, foot: float) -> Markup:
    """Upright lines at round kilograms; round pounds are ticked along the top."""
    parts: list[Markup] = []
    for value in round_marks(0.0, scale.high, 7):
        x = scale.at(value)
        parts.append(line((x, TOP - 4), (x, foot + 4), stroke=LINE))
        parts.append(label(x, foot + 24, mark_text(value), size=16, anchor="middle"))
    for value_lb in round_marks(0.0, lb_from_kg(scale.high), 7):
        x = scale.at(kg_from_lb(value_lb))
        parts.append(line((x, TOP - 10), (x, TOP - 4), stroke=QUIET, width=1.5))
        parts.append(label(x, TOP - 15, mark_text(value_lb), size=16, anchor="middle", fill=QUIET))
    ends = [label(NAMES - 14, foot + 24, "kg", size=16, anchor="end"),
            label(NAMES - 14, TOP - 15, "lb", size=16, anchor="end", fill=QUIET),
            label(814, TOP - 15, "kg (90 %)", size=16, anchor="end"),
            label(980, TOP - 15, "lb (90 %)", size=16, anchor="end", fill=QUIET)]  # fmt: skip
    return group(*parts, *ends)


def _row(row: Row, top: float, scale: Scale) -> Markup:
    if isinstance(row, str):
        name = shortened(row, WIDTH - 60, 18)
        return group(box(16, top + 2, WIDTH - 32, ROW - 4, fill=FAINT, radius=3),
                     label(24, top + 19, name, size=18, bold=True))  # fmt: skip
    middle = top + ROW / 2
    base = top + 18.5
    name, size = fitted(row.name, NAMES - 30, 16.5)
    kg, low, high = row.kg.mean, scale.at(row.kg.p05), scale.at(row.kg.p95)
    pounds = f"{say.plain(lb_from_kg(kg))} ({say.span_lb(row.kg).removesuffix(' lb')})"
    return group(
        label(NAMES - 14, base, name, size=size, anchor="end"),
        box(low, middle - 5, high - low, 10, fill=BAND, radius=3),
        line((low, middle - 7), (low, middle + 7), stroke=CURVE, width=1.5),
        line((high, middle - 7), (high, middle + 7), stroke=CURVE, width=1.5),
        element("circle", cx=scale.at(kg), cy=middle, r=4.5, fill=CURVE, class_="mean"),
        label(
            814,
            base,
            f"{say.plain(kg)} ({say.span_kg(row.kg).removesuffix(' kg')})",
            size=15.5,
            anchor="end",
            fill=INK,
        ),
        label(980, base, pounds, size=15.5, anchor="end", fill=QUIET),
    )
