"""Turning a stored picture upright by whole pixels, and points between the two; nothing is interpolated.

Way up 1 to 8 as in Exif: which side of what was seen the stored first row and first column are.
[Exif 2.32, CIPA DC-008, 2019, tag Orientation]
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

SWAPPED = (5, 6, 7, 8)
"""Ways up in which stored rows are upright columns."""
_FLIP_X = (2, 3, 6, 7)
_FLIP_Y = (3, 4, 7, 8)
"""Whether upright x (y) runs against the stored axis that it comes from."""


def turn_upright(stored: NDArray[np.uint8], orientation: int) -> NDArray[np.uint8]:
    """The stored picture (height, width, 3) the right way up; the same array when nothing is to be turned."""
    import cv2

    quarter = {3: cv2.ROTATE_180, 6: cv2.ROTATE_90_CLOCKWISE, 8: cv2.ROTATE_90_COUNTERCLOCKWISE}
    if orientation in quarter:
        turned = cv2.rotate(stored, quarter[orientation])
    elif orientation in (2, 4):
        turned = cv2.flip(stored, 1 if orientation == 2 else 0)
    elif orientation in (5, 7):
        turned = cv2.transpose(stored if orientation == 5 else cv2.rotate(stored, cv2.ROTATE_180))
    else:
        return stored
    return turned.astype("uint8", copy=False)


def point_to_upright(
    points_stored: NDArray[np.float64], stored_size: tuple[int, int], orientation: int
) -> NDArray[np.float64]:
    """Points (n, 2) as x, y; `stored_size` is (width, height). Whole numbers are centres of pixels."""
    import numpy as np

    points = np.asarray(points_stored, dtype=np.float64)
    width, height = stored_size
    if orientation in SWAPPED:
        points, (width, height) = points[:, ::-1], (height, width)
    return _flipped(points, width, height, orientation)


def point_to_stored(
    points_upright: NDArray[np.float64], stored_size: tuple[int, int], orientation: int
) -> NDArray[np.float64]:
    """The way back of `point_to_upright`."""
    import numpy as np

    points = np.asarray(points_upright, dtype=np.float64)
    width, height = stored_size
    if orientation in SWAPPED:
        return _flipped(points, height, width, orientation)[:, ::-1].copy()
    return _flipped(points, width, height, orientation)


def _flipped(points: NDArray[np.float64], width: int, height: int, orientation: int) -> NDArray[np.float64]:
    """Points of a picture of this size with the axes of `orientation` reversed."""
    flipped = points.copy()
    if orientation in _FLIP_X:
        flipped[:, 0] = width - 1 - flipped[:, 0]
    if orientation in _FLIP_Y:
        flipped[:, 1] = height - 1 - flipped[:, 1]
    return flipped
