"""Published whole-carcass cutting tables as values."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class CutoutTable:
    """One published table: what the animal was, how it was cut, and what came of it.

    `primals` are shares of the carcass and `sold_pct` shares of what was sold, by primal [%]; weights in the
    table's own pounds. `basis_known` says whether the table tells how it was cut closely enough to be held to 5 %.
    """

    id: str
    title: str
    publisher: str
    hot_lb: float
    known: Mapping[str, str | float]
    as_cut: Mapping[str, str | float]
    basis_known: bool
    why: str
    year: int | None = None
    retail_lb: float | None = None
    fat_lb: float | None = None
    bone_lb: float | None = None
    ground_pct_of_retail: float | None = None
    primals: Mapping[str, float] = field(default_factory=dict)
    sold_pct: Mapping[str, float] = field(default_factory=dict)

    def cite(self) -> str:
        return f"{self.title}, {self.publisher}" + (f", {self.year}" if self.year else "")


@cache
def cutout_tables() -> dict[str, CutoutTable]:
    """Every table by id, in the order of the file."""
    text = resources.files("gambrel.standards").joinpath("data/cutouts.toml").read_text("utf-8")
    return {fields["id"]: CutoutTable(**fields) for fields in tomllib.loads(text)["table"]}
