"""How long a pack keeps, by what it is, how it is packed and whether it is frozen; with the source of each figure."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from importlib import resources
from typing import Any

from gambrel.catalog.cuts import Cut

PACKINGS = ("paper", "tray", "vacuum", "bulk")
_USES = {"steak": "steak", "roast": "roast", "braise": "roast", "break": "roast", "stew": "stew", "grind": "ground",
         "bone": "bone", "fat": "fat", "offal": "offal"}  # fmt: skip
"""What a cut of the catalogue counts as; braising cuts and whole pieces keep as roasts do."""


@dataclass(frozen=True, slots=True)
class Keeps:
    """Days from packing, the shorter and the longer that the source gives."""

    use: str
    low_days: int
    high_days: int
    source: str
    mark: str

    def until(self, packed_on: date) -> date:
        """The day a label says: the shorter of the two."""
        return packed_on + timedelta(days=self.low_days)


def use_of(cut: Cut) -> str:
    """Which row of the table a cut belongs to. Raises KeyError for a use that keeps no time here."""
    return _USES[cut.use]


def keeps(use: str, *, packing: str, frozen: bool) -> Keeps:
    """How long it keeps. Raises KeyError for a use or a packing that the table has not."""
    row = _table()[use, packing]
    low, high = row["frozen_days" if frozen else "chilled_days"]
    return Keeps(use, low, high, _file()["sources"][row["source"]], row["mark"])


def thawed_until(thawed_on: date, use: str, *, packing: str) -> date:
    """The last day of meat that was thawed: as if it were packed that day in paper, whatever it is packed in.

    Thawed meat drips, and what kept it in a vacuum pack is gone. Common practice.
    """
    if (use, packing) not in _table():
        raise KeyError((use, packing))
    return keeps(use, packing="paper", frozen=False).until(thawed_on)


@cache
def _table() -> dict[tuple[str, str], dict[str, Any]]:
    return {(row["use"], packing): row for row in _file()["keeps"] for packing in row["packings"]}


@cache
def _file() -> dict[str, Any]:
    text = resources.files("gambrel.sell").joinpath("data/shelf_life.toml").read_text("utf-8")
    return tomllib.loads(text)
