"""Barcodes as drawings: bars in modules, with the quiet zone that a reader needs around them.

Check digits are checked before anything is drawn: the drawing library puts some right in silence.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gambrel.measures import CannotDo, Finding
from gambrel.sell.check_digits import check_digit_is_right
from gambrel.sell.element_strings import MOST_IN_GS1_128, Elements, element_string

Bar = tuple[float, float, float, float]
"""Left, top, width and height."""

_UNITS_PER_MODULE = 2
_EAN_LENGTH = 13


@dataclass(frozen=True, slots=True)
class Barcode:
    """Dark bars in modules within a white field; `quiet` is the white on the left, right and both ends upright.

    A linear code is one module high: its label stretches it to any height.
    """

    bars: tuple[Bar, ...]
    columns_count: int
    rows_count: int
    quiet: tuple[int, int, int]

    @property
    def is_linear(self) -> bool:
        return self.rows_count == 1

    @property
    def field(self) -> tuple[int, int]:
        """Width and height in modules, the quiet zone included."""
        left, right, ends = self.quiet
        return self.columns_count + left + right, self.rows_count + 2 * ends

    def svg(self) -> str:
        """The drawing as SVG, one module to a unit; it may be stretched upright when the code is linear."""
        width, height = self.field
        left, _, ends = self.quiet
        path = "".join(f"M{x + left:g} {y + ends:g}h{w:g}v{h:g}h{-w:g}z" for x, y, w, h in self.bars)
        stretch = ' preserveAspectRatio="none"' if self.is_linear else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
            f'height="{height}"{stretch} shape-rendering="crispEdges"><path fill="#000" d="{path}"/></svg>'
        )


def gs1_128(elements: Elements) -> Barcode:
    """Elements as bars. `CannotDo` when they are wrong or too many for one symbol."""
    length = len(element_string(elements))
    if length > MOST_IN_GS1_128:
        raise CannotDo([Finding("bars", f"{length} characters", f"{MOST_IN_GS1_128} at most",
                                "Leave price or serial out, or take a square code.")])  # fmt: skip
    return _draw("GS1_128", _for_the_pen(elements), gs1=True, quiet=(10, 10, 0))


def data_matrix(elements: Elements) -> Barcode:
    """Elements as a square of dots."""
    element_string(elements)
    return _draw("DATAMATRIX", _for_the_pen(elements), gs1=True, quiet=(1, 1, 1))


def qr(text: str) -> Barcode:
    """A web address as a square that any telephone reads."""
    return _draw("QRCODE", text, gs1=False, quiet=(4, 4, 4))


def in_store(digits: str) -> Barcode:
    """Twelve or thirteen digits as bars. `CannotDo` when the check digit is wrong."""
    if len(digits) not in (_EAN_LENGTH - 1, _EAN_LENGTH) or not check_digit_is_right(digits):
        raise CannotDo([Finding("bars", digits, "twelve or thirteen digits with their check digit",
                                "Make the code from item and price.")])  # fmt: skip
    if len(digits) == _EAN_LENGTH:
        return _draw("EANX", digits, gs1=False, quiet=(11, 7, 0))
    return _draw("UPCA", digits, gs1=False, quiet=(9, 9, 0))


def _for_the_pen(elements: Elements) -> str:
    """Square brackets: round ones may stand in a value, square ones may not."""
    return "".join(f"[{ai}]{value}" for ai, value in elements)


def _draw(kind: str, text: str, *, gs1: bool, quiet: tuple[int, int, int]) -> Barcode:
    import zint

    symbol = zint.Symbol()
    symbol.symbology = getattr(zint.Symbology, kind)
    symbol.input_mode = zint.InputMode.GS1 if gs1 else zint.InputMode.UNICODE
    symbol.show_text = False
    symbol.encode(text)
    symbol.buffer_vector()
    drawn: Any = list(symbol.vector.rectangles)
    left = min(bar.x for bar in drawn)
    linear = symbol.rows == 1
    unit = _UNITS_PER_MODULE
    bars = tuple(
        (
            (bar.x - left) / unit,
            0.0 if linear else bar.y / unit,
            bar.width / unit,
            1.0 if linear else bar.height / unit,
        )
        for bar in drawn
    )
    return Barcode(bars, symbol.width, symbol.rows, quiet)
