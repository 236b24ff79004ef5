"""One strip under a calendar: what is used of what there is, day by day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from gambrel.files.drawing import say
from gambrel.files.drawing.colours import CURVE, FAINT, INK, LINE, OVER, QUIET
from gambrel.files.drawing.svg import Markup, box, group, label, line, shortened

STRIP_HEIGHT = 104.0
_BAR = 50.0


@dataclass(frozen=True, slots=True)
class Cell:
    """Used and available, in the strip's unit."""

    used: float
    available: float

    @property
    def over(self) -> bool:
        """More used than there is, beyond what rounding to a tenth would show."""
        return self.used > self.available + 0.05


def strip(
    name: str,
    unit: str,
    cells: Mapping[date, Cell],
    places: Mapping[date, float],
    width: float,
    top: float,
    names_width: float,
) -> Markup:
    """Bars on one scale: the pale box is what there is, the dark part what is used; figures below."""
    most = max([1e-9, *(max(cell.used, cell.available) for cell in cells.values())])
    foot = top + 8 + _BAR
    parts: list[Markup] = [
        label(24, top + 26, shortened(name, names_width - 60, 17), size=17, bold=True),
        label(24, top + 46, f"used of available, {unit}", size=15, fill=QUIET),
        line((16, foot), (max(places.values()) + width, foot), stroke=LINE),
    ]
    for day, left in places.items():
        cell = cells.get(day)
        if cell is not None:
            parts.append(_bar(cell, unit, left, width, foot, _BAR / most))
    return group(*parts, class_="strip")


def _bar(cell: Cell, unit: str, left: float, width: float, foot: float, scale: float) -> Markup:
    middle = left + width / 2
    tint = OVER if cell.over else CURVE
    there, used = cell.available * scale, cell.used * scale
    size = 15 if width >= 56 else 12
    if cell.used == 0 and cell.available == 0:
        return label(middle, foot + 17, f"none, 0 {unit}", size=size - 2, anchor="middle", fill=QUIET)
    return group(
        box(left + width * 0.2, foot - there, width * 0.6, there, fill=FAINT, stroke=LINE, stroke_width=1),
        box(left + width * 0.26, foot - used, width * 0.48, used, fill=tint),
        label(
            middle,
            foot + 17,
            say.plain(cell.used),
            size=size,
            bold=True,
            anchor="middle",
            fill=OVER if cell.over else INK,
        ),
        label(
            middle,
            foot + 34,
            f"of {say.plain(cell.available)} {unit}",
            size=size - 2,
            anchor="middle",
            fill=QUIET,
        ),
    )
