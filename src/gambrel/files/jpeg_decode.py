"""JPEG pixels, and whether the file is damaged.

Decoded strictly first, which is quick: at the first thing that is not as it should be that decoder stops. Then the
patient one, OpenCV's, which takes every kind, goes on over damage and only mutters on standard error, is listened to.
"""

from __future__ import annotations

import os
import re
import sys
import tempfile
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_DAMAGE = ("premature end", "bad Huffman", "Invalid", "found marker")
_EXTRA = re.compile(r"(\d+) extraneous bytes")
_FILLING_BYTES = 256
"""Some phones fill up the end of the data; what is longer was picture once."""

_MOST_KEPT_BYTES = 40_000_000
"""Room for twelve megapixels and a little more is kept from one picture to the next."""

_one_at_a_time = threading.Lock()
_one_looks = threading.Lock()
_rooms: list[NDArray[np.uint8]] = []


def decode_jpeg(data: bytes) -> tuple[NDArray[np.uint8] | None, str]:
    """Pixels (height, width, 3) as stored, blue, green, red, or None; and what the decoder muttered."""
    import simplejpeg

    try:
        height, width, _, _ = simplejpeg.decode_jpeg_header(data, strict=True)
        return simplejpeg.decode_jpeg(data, "BGR", strict=True, buffer=_room(3 * height * width)), ""
    except (ValueError, MemoryError):  # damaged, or of a rarer make
        return decode_patiently(data)


def _room(count: int) -> NDArray[np.uint8]:
    """Memory for so many bytes: that of an earlier picture where nobody holds it any more.

    Fetched anew from the system, its pages are cleared first, which takes a fifth of the time of decoding.
    """
    import numpy as np

    with _one_looks:
        if (
            _rooms and _rooms[0].size >= count and sys.getrefcount(_rooms[0]) <= 2
        ):  # this list's, and the question's
            return _rooms[0][:count]
        room = np.empty(count, np.uint8)
        if count <= _MOST_KEPT_BYTES:
            _rooms[:] = [room]
        return room[:count]


def decode_patiently(data: bytes) -> tuple[NDArray[np.uint8] | None, str]:
    """As `decode_jpeg`, twice as slow, and over what a strict decoder stops at."""
    import cv2
    import numpy as np

    flags = cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION
    with _one_at_a_time, tempfile.TemporaryFile() as heard:
        try:
            keep = os.dup(2)
        except OSError:  # a program without standard error: nothing to listen to
            keep = -1
        try:
            if keep >= 0:
                os.dup2(heard.fileno(), 2)
            decoded = cv2.imdecode(np.frombuffer(data, np.uint8), flags)
        except cv2.error:  # a size it will not take, or no memory
            decoded = None
        finally:
            if keep >= 0:
                os.dup2(keep, 2)
                os.close(keep)
        heard.seek(0)
        muttered = heard.read(2000).decode("ascii", errors="replace")
    return (None if decoded is None else decoded.astype(np.uint8, copy=False)), muttered


def is_damage(muttered: str) -> bool:
    """Whether what the decoder muttered means that part of the picture is lost, shifted or grey from there on."""
    extra = _EXTRA.search(muttered)
    return any(words in muttered for words in _DAMAGE) or (
        extra is not None and int(extra[1]) > _FILLING_BYTES
    )


def is_odd(muttered: str) -> bool:
    """Whether there are a few bytes too many, which is mostly harmless."""
    return _EXTRA.search(muttered) is not None and not is_damage(muttered)
