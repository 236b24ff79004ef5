"""The shipped catalogue, animals of a given age, and rows typed from published tables."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import Tree, shipped_tree

PUBLISHED = Path(__file__).parent / "published"


@pytest.fixture(scope="session")
def tree() -> Tree:
    return shipped_tree()


@pytest.fixture(scope="session")
def cuts() -> Mapping[str, Cut]:
    return shipped_cuts()


@pytest.fixture(scope="session")
def animal() -> Callable[..., Animal]:
    """An animal of a kind and an age: `animal("bison", 24)`."""

    def of(kind: str = "grain-finished", age_months: int | None = 18) -> Animal:
        return Animal(kind=shipped_kinds()[kind], sex="heifer", hot_kg=340.0, age_months=age_months)

    return of


@pytest.fixture(scope="session")
def printed() -> Callable[[str, str], dict[str, float]]:
    """Lines of one part of a published table, by name: `printed("k-state", "primals")`."""
    with (PUBLISHED / "carcass_lines.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))

    def part(table: str, name: str) -> dict[str, float]:
        lines = {
            row["line"]: float(row["amount"]) for row in rows if (row["table"], row["part"]) == (table, name)
        }
        assert lines, f"no lines of {table}, {name}"
        return lines

    return part
