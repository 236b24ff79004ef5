"""The code of the first start: whoever makes an empty shop has read it where `gambrel serve` printed it.

Without it, the first who came by a network would own the shop. It is kept in the shop's folder, for its owner alone,
until the shop is made. An address of this computer says nothing of who asks: before a proxy, everybody has it.
"""

from __future__ import annotations

import contextlib
import hmac
import os
import secrets
from pathlib import Path

LETTERS = "ABCDEFGHJKMNPQRSTUVWXYZ23456789"
"""None that is easily taken for another: no I, L, O, 0 or 1."""

GROUPS, GROUP = 3, 4
NAME = "first-start"


def code(folder: Path) -> str:
    """The code of this shop's folder, made where there is none: twelve letters, some 59 bits."""
    path = folder / NAME
    with contextlib.suppress(FileExistsError):
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as file:
            file.write(
                "-".join("".join(secrets.choice(LETTERS) for _ in range(GROUP)) for _ in range(GROUPS))
            )
    return path.read_text()


def is_right(typed: str, folder: Path) -> bool:
    """Whether this is the code, small letters, spaces and other hyphens forgiven."""
    wanted = _plain(code(folder))
    # A file that another process has made and not yet written to holds no code that anything could equal.
    return len(wanted) == GROUPS * GROUP and hmac.compare_digest(_plain(typed), wanted)


def forget(folder: Path) -> None:
    """The shop is made: the code opens nothing any more."""
    (folder / NAME).unlink(missing_ok=True)


def _plain(text: str) -> str:
    return "".join(letter for letter in text.upper() if letter in LETTERS)
