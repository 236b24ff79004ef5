"""The forecast held against published whole-carcass tables (standards/data/cutouts.toml names each source)."""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from gambrel.breakdown.against_tables import Line, compare
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree
from gambrel.standards.cutouts import CutoutTable, cutout_tables

ROOT = Path(__file__).resolve().parents[2]
KNOWN_MISSES = {
    # Printed from 26 to 29 % of the carcass by the tables; the ways hold the middle and miss this one by a tenth.
    ("booklet-806", "chuck, of the carcass"),
    # The table prints shares of what is sold that are those of the carcass (see its `why`).
    ("oklahoma", "chuck, of what is sold"),
    ("oklahoma", "loin, of what is sold"),
    ("oklahoma", "brisket and plate, of what is sold"),
}


def lines_of(table: CutoutTable) -> list[Line]:
    return compare(table, kinds=shipped_kinds(), tree=shipped_tree(), cuts=shipped_cuts())


@pytest.mark.parametrize("table", cutout_tables().values(), ids=list(cutout_tables()))
def test_forecast_agrees_with_the_table_but_for_the_misses_explained(table: CutoutTable) -> None:
    lines = lines_of(table)
    assert lines and table.why
    missed = {(table.id, line.what) for line in lines if not line.within}
    assert missed <= KNOWN_MISSES


def test_the_reference_steer_closes_as_printed() -> None:
    # South Dakota State University: 490 + 150 + 110 = 750.
    table = cutout_tables()["south-dakota"]
    assert (table.retail_lb or 0) + (table.fat_lb or 0) + (table.bone_lb or 0) == table.hot_lb


def test_the_guides_page_is_what_the_tool_writes() -> None:
    spec = importlib.util.spec_from_file_location("published_tables", ROOT / "tools" / "published_tables.py")
    assert spec is not None and spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(tool)
    assert (ROOT / "docs" / "published-tables.md").read_text("utf-8") == tool.page()
