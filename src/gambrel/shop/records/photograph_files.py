"""Photographs as files in the shop's folder, under names of our own; copies of screen size are made from them.

No name of a person's file gets here, and nothing here is served except through a page that checks who asks.
"""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from gambrel.files.photograph import Photograph as Decoded
from gambrel.files.photograph import kind_of, read_photograph_bytes, read_photograph_file
from gambrel.files.ribface_picture import photograph_jpeg
from gambrel.files.writing import write_whole
from gambrel.shop.records.models import Photograph

TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "TIFF": "image/tiff",
         "HEIF": "image/heic"}  # fmt: skip
ENDINGS = {"JPEG": "jpg", "PNG": "png", "WEBP": "webp", "TIFF": "tif", "HEIF": "heic"}
SIZES_PX = {"screen": 1600, "small": 640}
"""Longest side of the copies that pages show."""

COPIES = "screen-copies"
"""Folder of the copies; they can be made again at any time and are not part of a backup."""


@dataclass(frozen=True)
class Upload:
    """A photograph that was sent: its bytes, what kind of file they are, and its pixels."""

    data: bytes
    kind: str
    decoded: Decoded

    @property
    def sha256(self) -> str:
        return hashlib.sha256(self.data).hexdigest()

    @property
    def content_type(self) -> str:
        return TYPES[self.kind]


def checked(data: bytes, *, name: str) -> Upload:
    """The bytes as a photograph, told by their content; `CannotDo` where there is none in them."""
    decoded = read_photograph_bytes(data, name=name)
    kind = kind_of(data)
    assert kind is not None  # what was decoded has a kind
    return Upload(data, kind, decoded)


def write(upload: Upload) -> str:
    """The upload in the shop's folder, whole or not at all; gives the name it got."""
    name = f"{uuid.uuid4().hex}.{ENDINGS[upload.kind]}"
    write_whole(settings.PLACE.photographs / name, upload.data)
    return name


def remove(name: str) -> None:
    """Take away a file that no record names, and its copies."""
    for path in (settings.PLACE.photographs / name, *(_copy_path(name, size) for size in SIZES_PX)):
        path.unlink(missing_ok=True)


def decoded(photograph: Photograph) -> Decoded:
    """Pixels of a stored photograph; `CannotDo` where its file is gone or broken."""
    return read_photograph_file(settings.PLACE.photographs / photograph.file)


def copy_for_screen(photograph: Photograph, size: str) -> bytes:
    """JPEG of a stored photograph, upright and no larger than `size` allows; kept beside it once made."""
    path = _copy_path(photograph.file, size)
    if not path.is_file():
        write_whole(path, photograph_jpeg(decoded(photograph).bgr, longest_px=SIZES_PX[size]))
    return path.read_bytes()


def make_copies(name: str, upload: Upload) -> None:
    """Both copies while the pixels are at hand."""
    for size, longest_px in SIZES_PX.items():
        write_whole(_copy_path(name, size), photograph_jpeg(upload.decoded.bgr, longest_px=longest_px))


def _copy_path(name: str, size: str) -> Path:
    folder: Path = settings.PLACE.photographs / COPIES
    return folder / f"{Path(name).stem}-{size}.jpg"
