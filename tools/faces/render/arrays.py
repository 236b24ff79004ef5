"""Names for the arrays that travel between the parts of the renderer."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

Gray = npt.NDArray[np.float32]  # (h, w), usually 0 to 1
Colour = npt.NDArray[np.float32]  # (h, w, 3) or (3,), linear light, red first
Bytes = npt.NDArray[np.uint8]
Points = npt.NDArray[np.float64]  # (n, 2); mm with y up on the cut face, or px with y down
Matrix = npt.NDArray[np.float64]
Window = tuple[int, int, int, int]  # x0, y0, x1, y1 in px; x1 and y1 outside

BACKGROUND, EYE, MUSCLE, FAT, BONE, CARD, HAND = range(7)
CLASSES = ("background", "eye", "muscle", "fat", "bone", "card", "hand")


def gray(values: Any) -> Gray:
    return np.asarray(values, dtype=np.float32)


def points(values: Any) -> Points:
    return np.asarray(values, dtype=np.float64)
