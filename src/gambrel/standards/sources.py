"""The register of sources: every key that stands in square brackets beside a published figure."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import cache
from importlib import resources

MARKS = ("read", "derived", "memory")


@dataclass(frozen=True, slots=True)
class Source:
    """One publication; `mark` says whether its figures were read, derived from read ones, or recalled."""

    key: str
    title: str
    publisher: str
    year: str
    mark: str

    def cite(self) -> str:
        """One line for a page or a label sheet."""
        recalled = "; figures from memory" if self.mark == "memory" else ""
        return f"{self.title}. {self.publisher}, {self.year}{recalled}"


@cache
def sources() -> dict[str, Source]:
    """Every source by key."""
    text = resources.files("gambrel.standards").joinpath("data/sources.toml").read_text("utf-8")
    return {key: Source(key=key, **fields) for key, fields in tomllib.loads(text).items()}


def source(key: str) -> Source:
    """The source registered under `key`; `KeyError` for a key that is not, which is a mistake in the
    program.
    """
    return sources()[key]
