"""What was measured, drawn over the photograph, as a PNG or JPEG file."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from gambrel.ribface.reading import Reading

LONGEST_PX = 2000
JPEG_NAMES = (".jpg", ".jpeg")
JPEG_QUALITY = 85


def picture_bytes(bgr: NDArray[np.uint8], reading: Reading, name: str) -> bytes:
    """The picture as a JPEG file where `name` says so, else as PNG."""
    import cv2

    if not name.lower().endswith(JPEG_NAMES):
        return picture_png(bgr, reading)
    quality = [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    return bytes(cv2.imencode(".jpg", _drawn(bgr, reading), quality)[1].tobytes())


def picture_png(bgr: NDArray[np.uint8], reading: Reading) -> bytes:
    """PNG bytes of the upright photograph (H, W, 3), at most 2,000 pixels long, with the reading drawn on it."""
    import cv2

    drawn = _drawn(bgr, reading)
    return bytes(cv2.imencode(".png", drawn, [cv2.IMWRITE_PNG_COMPRESSION, 3])[1].tobytes())


def _drawn(bgr: NDArray[np.uint8], reading: Reading) -> NDArray[np.uint8]:
    import cv2

    from gambrel.ribface.draw import draw_reading

    drawn = draw_reading(bgr, reading)
    height, width = drawn.shape[:2]
    scale = LONGEST_PX / max(height, width)
    if scale < 1:
        size = (max(1, round(width * scale)), max(1, round(height * scale)))
        drawn = cv2.resize(drawn, size, interpolation=cv2.INTER_AREA).astype("uint8", copy=False)
    return drawn
