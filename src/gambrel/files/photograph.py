"""A photograph file as upright pixels, whatever the phone or the post made of it; or the reason why not.

The kind of file is told from its first bytes, its claimed size is checked before anything is decoded. JPEG is
decoded here; every other kind in a process of its own with limits of time and memory (`decode_apart`).
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

from gambrel.files.exif import Exif, read_exif
from gambrel.files.jpeg_decode import decode_jpeg, is_damage, is_odd
from gambrel.files.jpeg_header import read_jpeg_header
from gambrel.files.turning import SWAPPED, point_to_stored, point_to_upright, turn_upright
from gambrel.measures import CannotDo, Finding

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_BYTES = 80_000_000
MOST_PIXELS = 50_000_000
LEAST_SIDE_PX = 200
MOST_PASSES = 20
"""Of a progressive JPEG: cameras and programs write about ten; thousands would keep the decoder busy for hours."""
MOST_SECONDS = 9.0

_HEIF_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1"}
_NAMES = {"JPEG": ("jpg", "jpeg", "jpe", "jfif"), "PNG": ("png", "apng"), "WEBP": ("webp",),
          "TIFF": ("tif", "tiff"), "HEIF": ("heic", "heif", "hif")}  # fmt: skip
_AGAIN = "Copy it from the phone again, or take it again."
_OTHERS = {b"GIF8": "GIF", b"BM": "BMP", b"%PDF": "PDF", b"PK": "ZIP"}


@dataclass(frozen=True, slots=True)
class Photograph:
    """`bgr` is uint8 (height, width, 3), the right way up; sizes are (width, height) in pixels.

    "Stored" is the order of pixels in the file before `orientation` (1 to 8, as in Exif) is applied. A HEIC file
    turns its own picture while it is decoded: there, stored is already upright.
    """

    bgr: NDArray[np.uint8]
    stored_size: tuple[int, int]
    orientation: int
    focal_equiv_mm: float | None
    taken_at: str | None
    warnings: tuple[str, ...]

    def to_stored(self, points_upright: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points (n, 2) of the upright picture in the stored one; whole numbers are centres of pixels."""
        return point_to_stored(points_upright, self.stored_size, self.orientation)

    def to_upright(self, points_stored: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points (n, 2) of the stored picture in the upright one."""
        return point_to_upright(points_stored, self.stored_size, self.orientation)


def read_photograph_file(path: Path) -> Photograph:
    """The photograph in the file; `CannotDo` with one finding when there is none to be had."""
    name = str(path)
    try:
        if not path.exists():
            _refuse(name, "no such file", "a photograph", "Check the name and the folder.")
        if not path.is_file():
            _refuse(name, "a folder or device", "a photograph", "Name the file itself.")
        if path.stat().st_size > MOST_BYTES:
            _refuse(
                name, f"{path.stat().st_size:,} bytes", f"at most {MOST_BYTES:,}", "Save it smaller, as JPEG."
            )
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        _refuse(
            name,
            getattr(error, "strerror", None) or str(error),
            "a file that can be read",
            "Check who may read it.",
        )
    return read_photograph_bytes(data, name=name)


def read_photograph_bytes(data: bytes, *, name: str) -> Photograph:
    """The photograph in `data`; `name` is for messages, and its ending for a warning when it says another kind."""
    if not data:
        _refuse(name, "an empty file", "a photograph", _AGAIN)
    if len(data) > MOST_BYTES:
        _refuse(name, f"{len(data):,} bytes", f"at most {MOST_BYTES:,}", "Save it smaller, as JPEG.")
    kind = kind_of(data)
    if kind is None:
        what = next(
            (word for start, word in _OTHERS.items() if data.startswith(start)), "no picture that is known"
        )
        _refuse(name, f"{what} file" if what.isupper() else what, "JPEG, PNG, WebP, TIFF or HEIC",
                "Send the photograph as the phone took it.")  # fmt: skip
    bgr, exif, said = _decode_jpeg(data, name) if kind == "JPEG" else _decode_apart(data, kind, name)
    height, width = bgr.shape[:2]
    if min(width, height) < LEAST_SIDE_PX:
        _refuse(name, f"{width} x {height} pixels", f"at least {LEAST_SIDE_PX} x {LEAST_SIDE_PX}",
                "Send the photograph itself, not its thumbnail.")  # fmt: skip
    ending = Path(name).suffix.lower().removeprefix(".")
    if any(ending in endings for other, endings in _NAMES.items() if other != kind):
        said = (*said, f"the name ends in .{ending}, the file is {kind}; read as {kind}")
    stored_size = (height, width) if exif.orientation in SWAPPED else (width, height)
    return Photograph(bgr, stored_size, exif.orientation, exif.focal_equiv_mm, exif.taken_at,
                      (*said, *exif.warnings))  # fmt: skip


def kind_of(data: bytes) -> str | None:
    """JPEG, PNG, WEBP, TIFF or HEIF by the first bytes, whatever the name says; None for anything else."""
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data[:4] == b"RIFF" and data[8:12] == b"WEBP":
        return "WEBP"
    if data[:4] in (b"II*\x00", b"MM\x00*"):
        return "TIFF"
    if data[4:8] == b"ftyp" and data[8:12] in _HEIF_BRANDS:
        return "HEIF"
    return None


def _decode_jpeg(data: bytes, name: str) -> tuple[NDArray[np.uint8], Exif, tuple[str, ...]]:
    """Upright pixels, what the Exif block says, and warnings."""
    header = read_jpeg_header(data)
    if header is None:
        _refuse(name, "a JPEG file that breaks off or is out of order", "a whole photograph", _AGAIN)
    _check_size(header.width_px, header.height_px, name)
    if not header.ends or header.too_short:
        _refuse(name, "a JPEG file that breaks off before its end", "a whole photograph", _AGAIN)
    if header.passes > MOST_PASSES:
        _refuse(
            name, f"a JPEG file in {header.passes} passes", f"at most {MOST_PASSES}", "Save it anew as JPEG."
        )
    decoded, muttered = decode_jpeg(data)
    if decoded is None:
        _refuse(name, "a broken JPEG file", "a whole photograph", _AGAIN)
    if is_damage(muttered):
        _refuse(name, "a damaged JPEG file; part of the picture is lost", "a whole photograph", _AGAIN)
    said = []
    if is_odd(muttered):
        said.append("the file holds bytes that do not belong there; look whether the picture is whole")
    if header.inks == 4:
        said.append("printing inks (CMYK) turned into screen colours; the colours are only near")
    exif = read_exif(header.exif)
    return turn_upright(decoded, exif.orientation), exif, tuple(said)


def _check_size(width: int, height: int, name: str) -> None:
    if width * height == 0:
        _refuse(name, "a picture without a size", "a whole photograph", _AGAIN)
    if width * height > MOST_PIXELS:
        _refuse(name, f"{width:,} x {height:,} pixels ({width * height / 1e6:,.1f} million)",
                f"at most {MOST_PIXELS / 1e6:.0f} million pixels", "Save it smaller.")  # fmt: skip


def _decode_apart(data: bytes, kind: str, name: str) -> tuple[NDArray[np.uint8], Exif, tuple[str, ...]]:
    program = [sys.executable, "-P", "-m", "gambrel.files.decode_apart", kind, str(MOST_PIXELS)]
    try:
        done = subprocess.run(program, input=data, capture_output=True, timeout=MOST_SECONDS, check=False)
    except subprocess.TimeoutExpired:
        _refuse(name, f"a {kind} file that takes more than {MOST_SECONDS:.0f} s to decode", "an ordinary photograph",
                "Save it anew as JPEG.")  # fmt: skip
    line, _, pixels = done.stdout.partition(b"\n")
    head: dict[str, Any] = json.loads(line) if line else {"refuse": (f"a {kind} file that stops the decoder",
                                                          "a whole photograph", _AGAIN)}  # fmt: skip
    if "refuse" in head:
        _refuse(name, *head["refuse"])
    exif = read_exif(data if kind == "TIFF" else bytes.fromhex(head["exif"]))
    bgr = _from_pixels(head, pixels, kind, name)
    if head["turned_from"] is None:
        bgr = turn_upright(bgr, exif.orientation)
    else:
        exif = replace(exif, orientation=head["turned_from"])
    return bgr, exif, tuple(head["warnings"])


def _from_pixels(head: dict[str, Any], pixels: bytes, kind: str, name: str) -> NDArray[np.uint8]:
    import numpy as np

    height, width, deep = head["height"], head["width"], head["deep"]
    if len(pixels) != height * width * (2 if deep else 3):
        _refuse(name, f"a {kind} file that stops the decoder", "a whole photograph", _AGAIN)
    if not deep:
        return np.frombuffer(pixels, np.uint8).reshape(height, width, 3).copy()
    grey = (np.frombuffer(pixels, np.dtype(deep)).reshape(height, width) >> 8).astype(np.uint8)
    return np.repeat(grey[:, :, None], 3, axis=2)


def _refuse(name: str, given: str, wanted: str, do: str) -> NoReturn:
    raise CannotDo([Finding(name, given, wanted, do)])
