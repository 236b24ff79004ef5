"""What was measured, drawn over the photograph, as a PNG or JPEG file."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from gambrel.measures import Findings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from gambrel.ribface.reading import Reading

LONGEST_PX = 2000
JPEG_NAMES = (".jpg", ".jpeg")
PICTURE_NAMES = (".png", *JPEG_NAMES)
JPEG_QUALITY = 85


def check_pictures(photos: Sequence[Path], pictures: Sequence[Path | None], findings: Findings) -> None:
    """Findings for pictures of another kind than PNG or JPEG, and for those that would be written over a photograph."""
    for picture in pictures:
        if picture is None:
            continue
        if picture.suffix.lower() not in PICTURE_NAMES:
            findings.add("--picture", str(picture), "a name that ends in .png or .jpg, or a folder",
                         "Give the picture another name.")  # fmt: skip
        elif any(_same_file(picture, photo) for photo in photos):
            findings.add("--picture", f"{picture}, which is a photograph to be read", "a file of its own",
                         "Give another name or folder; the photograph is left as it is.")  # fmt: skip


def _same_file(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):  # one of them is not there
        return False


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
    from gambrel.ribface.draw import draw_reading

    return _no_longer_than(draw_reading(bgr, reading), LONGEST_PX)


def photograph_jpeg(bgr: NDArray[np.uint8], *, longest_px: int) -> bytes:
    """JPEG bytes of the upright photograph (H, W, 3) for a screen, no longer than this; nothing of its Exif."""
    import cv2

    quality = [cv2.IMWRITE_JPEG_QUALITY, JPEG_QUALITY]
    return bytes(cv2.imencode(".jpg", _no_longer_than(bgr, longest_px), quality)[1].tobytes())


def _no_longer_than(bgr: NDArray[np.uint8], longest_px: int) -> NDArray[np.uint8]:
    import cv2

    height, width = bgr.shape[:2]
    scale = longest_px / max(height, width)
    if scale >= 1:
        return bgr
    size = (max(1, round(width * scale)), max(1, round(height * scale)))
    return cv2.resize(bgr, size, interpolation=cv2.INTER_AREA).astype("uint8", copy=False)
