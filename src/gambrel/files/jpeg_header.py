"""What a JPEG file claims before it is decoded: its size, its passes, its Exif block, whether it ends.

[ITU-T T.81, 1992, annex B]
"""

from __future__ import annotations

from dataclasses import dataclass

_ALONE = {0x01, *range(0xD0, 0xD9)}  # markers that have no length
_FRAMES = set(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_END = b"\xff\xd9"
_SCAN = b"\xff\xda"


@dataclass(frozen=True, slots=True)
class JpegHeader:
    """`width_px` and `height_px` as stored, the largest claimed; `inks` is 4 for CMYK."""

    width_px: int
    height_px: int
    inks: int
    passes: int
    ends: bool
    scan_bytes: int
    exif: bytes

    @property
    def too_short(self) -> bool:
        """Whether the data cannot hold so many pixels: in one pass an even block of 64 takes two bits at least."""
        return self.passes == 1 and self.scan_bytes < self.width_px * self.height_px // 256


def read_jpeg_header(data: bytes) -> JpegHeader | None:
    """The header, or None when the segments lead nowhere. `data` starts with a JPEG's first two bytes.

    Inside the picture data 0xFF is always followed by 0x00 or a restart, so passes and the end can be
    looked for without decoding.
    """
    width = height = inks = 0
    exif = b""
    place = 2
    while place + 4 <= len(data):
        if data[place] != 0xFF:
            return None
        marker = data[place + 1]
        if marker == 0xFF or marker in _ALONE:
            place += 1 if marker == 0xFF else 2
            continue
        length = int.from_bytes(data[place + 2 : place + 4], "big")
        body = data[place + 4 : place + 2 + length]
        if marker == 0xDA:
            end = data.find(_END, place)
            stop = end if end > 0 else len(data)
            passes = data.count(_SCAN, place, stop)
            return JpegHeader(width, height, inks, passes, end > 0, stop - place, exif)
        if length < 2 or marker == 0xD9:
            return None
        if marker in _FRAMES and len(body) >= 6:
            height = max(height, int.from_bytes(body[1:3], "big"))
            width = max(width, int.from_bytes(body[3:5], "big"))
            inks = body[5]
        elif marker == 0xE1 and body.startswith(b"Exif\x00\x00") and not exif:
            exif = body
        place += 2 + length
    return None
