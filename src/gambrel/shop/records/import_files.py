"""Tables that were sent and wait to be looked at, under names of our own in the shop's folder."""

from __future__ import annotations

import time
import uuid
from pathlib import Path

from django.conf import settings

from gambrel.files.writing import write_whole

LARGEST_BYTES = 5_000_000
KEPT_S = 24 * 3600
"""A table that nobody stored is taken away after a day."""


def keep(data: bytes) -> uuid.UUID:
    """The table under a new name; old ones that wait no more are taken away."""
    _forget_old()
    name = uuid.uuid4()
    write_whole(_path(name), data)
    return name


def waiting(name: uuid.UUID) -> Path | None:
    """The file, while it waits."""
    path = _path(name)
    return path if path.is_file() else None


def forget(name: uuid.UUID) -> bool:
    """Take it away; False where it was gone: somebody else stored it."""
    try:
        _path(name).unlink()
    except FileNotFoundError:
        return False
    return True


def _path(name: uuid.UUID) -> Path:
    folder: Path = settings.PLACE.folder / "imports"
    return folder / f"{name.hex}.table"


def _forget_old() -> None:
    folder = _path(uuid.UUID(int=0)).parent
    for path in folder.glob("*.table") if folder.is_dir() else ():
        if time.time() - path.stat().st_mtime > KEPT_S:
            path.unlink(missing_ok=True)
