"""The files that the guide sets the shop up with, read out of `docs/shop/running.md`: units of the system, the proxy.

They are read as little as their tests want: sections and lines of a unit, directives and blocks of the proxy.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from pathlib import Path

GUIDE = Path(__file__).parents[1] / "docs" / "shop" / "running.md"
Unit = dict[str, list[str]]
"""Every value of every key; the section is left out, since no key of these stands in two."""

_NAMED = re.compile(
    r"`(gambrel[\w-]*\.(?:service|timer))`[^`]*(?:`/[^`]*`)?[^`]*?:\s*\n\n```ini\n(.*?)^```$", re.M | re.S
)
_PROXY = re.compile(r"^```nginx\n(.*?)^```$", re.M | re.S)
_WORD = re.compile(r"""#[^\n]*|"(?:[^"\\]|\\.)*"|[{};]|[^\s{};"#]+""")
_BYTES = {"": 1, "k": 1024, "m": 1024**2, "g": 1024**3}
_SECONDS = {"": 1, "s": 1, "m": 60, "h": 3600}


@dataclass
class Block:
    """A block of the proxy's file: its directives, each with its words, and the blocks within."""

    words: tuple[str, ...] = ()
    lines: list[tuple[str, ...]] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)

    def one(self, *begins: str) -> tuple[str, ...]:
        """What follows these words, in the only directive that begins with them."""
        (found,) = (line for line in self.lines if line[: len(begins)] == begins)
        return found[len(begins) :]

    def block(self, *words: str) -> Block:
        """The only block within that is called so."""
        (found,) = (one for one in self.blocks if one.words == words)
        return found


def units(text: str) -> dict[str, Unit]:
    """Every unit of the guide by its file's name."""
    read: dict[str, Unit] = {}
    for name, body in _NAMED.findall(text):
        unit: Unit = {}
        for line in body.splitlines():
            if "=" in line:
                key, value = line.split("=", 1)
                unit.setdefault(key, []).append(value)
        read[name] = unit
    return read


def environment_of(unit: Unit) -> dict[str, str]:
    return dict(given.split("=", 1) for given in unit.get("Environment", []))


def proxy(text: str) -> Block:
    """The proxy's file; its servers are blocks within. Raises ValueError where braces or semicolons do not fit."""
    (body,) = _PROXY.findall(text)
    open_blocks = [Block()]
    words: list[str] = []
    for word in _WORD.findall(body):
        if word.startswith("#"):
            continue
        if word == ";":
            open_blocks[-1].lines.append(tuple(words))
        elif word == "{":
            inner = Block(tuple(words))
            open_blocks[-1].blocks.append(inner)
            open_blocks.append(inner)
        elif word == "}":
            if words or len(open_blocks) == 1:
                raise ValueError(f"a brace that closes nothing, after {words}")
            open_blocks.pop()
        else:
            words.append(word.strip('"'))
            continue
        words = []
    if words or len(open_blocks) > 1:
        raise ValueError("a directive or a block that is not closed")
    return open_blocks[0]


def size_bytes(text: str) -> int:
    """A size as the proxy writes it: 95m is 95 x 1024 x 1024 bytes."""
    return _measured(text, _BYTES)


def time_seconds(text: str) -> int:
    return _measured(text, _SECONDS)


def _measured(text: str, of: dict[str, int]) -> int:
    found = re.fullmatch(r"(\d+)([a-z]?)", text)
    if found is None or found[2] not in of:
        raise ValueError(f"no size or time: {text!r}")
    return int(found[1]) * of[found[2]]
