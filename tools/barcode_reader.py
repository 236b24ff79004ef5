"""Codes as a picture, and read back by a program that has nothing to do with the one that drew them."""

from __future__ import annotations

from typing import Any

import numpy as np
import zxingcpp
from numpy.typing import NDArray

from gambrel.files.barcode import Barcode

LINEAR_HEIGHT = 60


def white_field(code: Barcode, *, module_px: int) -> NDArray[np.uint8]:
    """The code in black on white, quiet zone and all; linear ones 60 modules high."""
    width, height = code.field
    left, _, ends = code.quiet
    tall = LINEAR_HEIGHT if code.is_linear else 1
    field = np.full((height * tall * module_px, width * module_px), 255, np.uint8)
    for x, y, across, down in code.bars:
        top, side = round((y + ends) * tall * module_px), round((x + left) * module_px)
        field[top : top + round(down * tall * module_px), side : side + round(across * module_px)] = 0
    return field


def read_back(code: Barcode, *, module_px: int = 3, kind: str = "") -> Any:
    """The one code that is seen. Raises ValueError when there is none, or more.

    `kind` has the reader look for that only, as a scanner is set to what the shop prints; "" for any.
    """
    formats = zxingcpp.barcode_formats_from_str(kind)
    field = white_field(code, module_px=module_px)
    seen = zxingcpp.read_barcodes(field, formats=formats, text_mode=zxingcpp.TextMode.Plain)
    if len(seen) != 1:
        raise ValueError(f"{len(seen)} codes seen, one drawn")
    return seen[0]
