"""The three facts of a photograph's Exif block that matter here: which way up, focal length, when.

Written by hand because the block may be nonsense: nothing is followed outside it, nothing is read twice, and
what is not plausible counts as not there. [Exif 2.32, CIPA DC-008, 2019; TIFF 6.0, 1992]
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from datetime import datetime

ORIENTATION, EXIF_FOLDER, TAKEN_AT, FOCAL_EQUIV = 0x0112, 0x8769, 0x9003, 0xA405
_WANTED = {ORIENTATION, EXIF_FOLDER, TAKEN_AT, FOCAL_EQUIV}
_MOST_ENTRIES = 512
_SIZES = {1: 1, 2: 1, 3: 2, 4: 4, 5: 8, 7: 1, 9: 4, 10: 8}


@dataclass(frozen=True, slots=True)
class Exif:
    """`orientation` is 1 to 8, `focal_equiv_mm` that of a 35 mm camera, `taken_at` as 2026-03-09 14:05:00."""

    orientation: int = 1
    focal_equiv_mm: float | None = None
    taken_at: str | None = None
    warnings: tuple[str, ...] = ()


def read_exif(block: bytes) -> Exif:
    """What the TIFF structure `block` says (with or without its "Exif" head); never raises."""
    block = block.removeprefix(b"Exif\x00\x00")
    order = {b"II": "<", b"MM": ">"}.get(block[:2])
    if order is None or len(block) < 8:
        return Exif()
    facts = _folder(block, order, _number(block, 4, order, 4))
    inner = facts.get(EXIF_FOLDER)
    if isinstance(inner, int):
        facts = _folder(block, order, inner) | facts
    orientation = facts.get(ORIENTATION, 1)
    warnings: tuple[str, ...] = ()
    if not isinstance(orientation, int) or not 1 <= orientation <= 8:
        warnings = (f"the file says a way up that does not exist ({orientation!r}); taken as it is stored",)
        orientation = 1
    focal = facts.get(FOCAL_EQUIV)
    good_focal = float(focal) if isinstance(focal, int) and 5 <= focal <= 2000 else None
    return Exif(orientation, good_focal, _moment(facts.get(TAKEN_AT)), warnings)


def _folder(block: bytes, order: str, start: int) -> dict[int, int | bytes]:
    """The wanted entries of the folder at `start`: whole numbers as int, text as bytes."""
    found: dict[int, int | bytes] = {}
    entries = min(_number(block, start, order, 2), _MOST_ENTRIES)
    for place in range(start + 2, start + 2 + 12 * entries, 12):
        if place + 12 > len(block):
            break
        tag, kind, count = struct.unpack_from(f"{order}HHI", block, place)
        if tag not in _WANTED or tag in found:
            continue
        if kind in (3, 4) and count == 1:
            found[tag] = _number(block, place + 8, order, _SIZES[kind])
        elif kind == 2 and 4 < count <= 64:
            text_at = _number(block, place + 8, order, 4)
            found[tag] = block[text_at : text_at + count]
    return found


def _number(block: bytes, place: int, order: str, size: int) -> int:
    """An unsigned whole number of 2 or 4 bytes; 0 beyond the end."""
    if place + size > len(block):
        return 0
    value: int = struct.unpack_from(order + {2: "H", 4: "I"}[size], block, place)[0]
    return value


def _moment(raw: int | bytes | None) -> str | None:
    if not isinstance(raw, bytes):
        return None
    text = raw.split(b"\x00")[0].decode("ascii", errors="replace").strip()
    try:
        return str(datetime.strptime(text, "%Y:%m:%d %H:%M:%S"))
    except ValueError:
        return None
