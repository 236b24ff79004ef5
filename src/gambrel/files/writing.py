"""Files written whole or not at all: beside the old one first, then put in its place in one step."""

from __future__ import annotations

import contextlib
import os
import threading
from pathlib import Path

from gambrel.measures import Findings


def write_whole(path: Path, data: bytes) -> None:
    """Write `data` to `path` so that a power cut leaves the old file or the new one, never half of one.

    The folder is made when it is missing. `CannotDo` when the folder or file cannot be written; the old file,
    if there was one, is then as it was.
    """
    findings = Findings()
    if os.path.isdir(path):  # no error for a name that is too long
        findings.add(str(path), "a folder", "the name of a file", "Name the file itself.")
        findings.stop_if_any()
    target = Path(os.path.realpath(path))  # a link stays a link; what it points to is replaced
    writer = f"{os.getpid()}-{threading.get_ident()}"
    beside = target.with_name(f".{target.name[:40]}.{writer}.part")  # short enough whatever the name's length
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _write_through(beside, data)
        os.replace(beside, target)
        _settle(target.parent)
    except OSError as error:
        with contextlib.suppress(OSError):  # the folder itself may be what is wrong
            beside.unlink()
        findings.add(
            str(path),
            error.strerror or type(error).__name__,
            "a folder that can be written and has room",
            "Choose another folder, close the file elsewhere, or ask who may write there.",
        )
        findings.stop_if_any()


def _write_through(path: Path, data: bytes) -> None:
    """Write and wait until the disk has it; renaming sooner could put an empty file in place."""
    with path.open("wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def _settle(folder: Path) -> None:
    """Ask the disk to keep the new name too; only where a folder can be opened for that (not on Windows)."""
    if os.name == "posix":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
