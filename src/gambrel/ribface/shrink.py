"""A part of a picture cut out, and a picture made smaller by halving it again and again.

The mean of two by two pixels is several times quicker than that of three by three, or of parts of pixels, and a
quarter by two halvings is off by one of 255 at most.
"""

from __future__ import annotations

import math

import cv2
import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]

JUST_ABOUT = 1.05
"""A picture this little too large for another halving is halved all the same."""


def halvings(times_smaller: float) -> int:
    """How often a picture may be halved to become at most `times_smaller`, give or take a twentieth."""
    return max(0, math.floor(math.log2(max(times_smaller, 1e-9) * JUST_ABOUT)))


def halved(picture: Picture, often: int) -> Picture:
    """The picture (H, W, ...) halved so often, last odd rows and columns left out; each side `2 ** often` at least.

    A pixel of the answer is the mean of `2 ** often` by as many, its centre where `to_full(often)` takes it.
    """
    for _ in range(often):
        high, wide = (side // 2 for side in picture.shape[:2])
        whole = picture[: 2 * high, : 2 * wide]
        picture = np.asarray(cv2.resize(whole, (wide, high), interpolation=cv2.INTER_AREA), np.uint8)
    return picture


def to_full(often: int) -> NDArray[np.float64]:
    """Matrix (3, 3) from pixels of a picture halved so often to those of the whole; centres are whole numbers."""
    by = float(2**often)
    return np.array([[by, 0, (by - 1) / 2], [0, by, (by - 1) / 2], [0, 0, 1.0]])


def cut_out(
    picture: Picture, points: NDArray[np.float64], margin: int = 3
) -> tuple[NDArray[np.float64], Picture]:
    """The part of the picture around the points, and where its first pixel lies."""
    high, wide = picture.shape[:2]
    low = np.clip(np.floor(points.min(axis=0)).astype(int) - margin, 0, [wide - 1, high - 1])
    end = np.clip(np.ceil(points.max(axis=0)).astype(int) + margin + 1, low + 1, [wide, high])
    return low.astype(float), picture[low[1] : end[1], low[0] : end[0]]
