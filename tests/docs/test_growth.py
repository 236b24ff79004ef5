"""The plot of how planning grows is drawn from the measured table beside it, and shows every row of it."""

from __future__ import annotations

import importlib.util
import sys
import xml.etree.ElementTree as ET
from pathlib import Path
from types import ModuleType

import house
import pytest

TABLE, PLOT = house.ROOT / "docs" / "plan-growth.csv", house.ROOT / "docs" / "plan-growth.svg"


@pytest.fixture(scope="module")
def growth() -> ModuleType:
    spec = importlib.util.spec_from_file_location("growth", house.ROOT / "bench" / "growth.py")
    assert spec is not None and spec.loader is not None
    tool = importlib.util.module_from_spec(spec)
    sys.modules["growth"] = tool
    spec.loader.exec_module(tool)
    return tool


def test_the_plot_is_drawn_from_the_table(growth: ModuleType) -> None:
    assert growth.drawn(growth.read(TABLE)) == PLOT.read_text(), "draw it anew: python bench/growth.py"


def test_every_row_has_its_mark_and_hollow_is_not_reached(growth: ModuleType) -> None:
    points = growth.read(TABLE)
    marks = [one for one in ET.fromstring(PLOT.read_text()).iter() if one.tag.endswith("circle")]
    assert len(marks) == len(points) >= 8
    hollow = [one for one in marks if one.get("fill") == "#ffffff"]
    assert len(hollow) == sum(not point.reached for point in points)


def test_more_seconds_stand_higher_and_more_sides_further_right(growth: ModuleType, tmp_path: Path) -> None:
    """Two plans of known place: ten times the seconds is one line of the grid up, whatever the sides."""
    table = tmp_path / "two.csv"
    table.write_text(
        "way,sides,days,seconds,processor_s,first_s,gap_pct,status,peak_mb\n"
        "ours,10,28,2,1.0,1,0.4,within-gap,80\nours,100,28,20,10.0,1,0.4,time-limit,80\n"
    )
    drawing = ET.fromstring(growth.drawn(growth.read(table)))
    first, second = [one for one in drawing.iter() if one.tag.endswith("circle")]
    assert float(second.get("cx", "0")) - float(first.get("cx", "0")) == pytest.approx(
        growth.WIDTH - growth.RIGHT - growth.LEFT
    )
    assert float(first.get("cy", "0")) - float(second.get("cy", "0")) == pytest.approx(
        growth.HEIGHT - growth.BOTTOM - growth.TOP
    )
    assert first.get("fill") != "#ffffff" and second.get("fill") == "#ffffff"


def test_the_page_of_rules_shows_it() -> None:
    page = (house.ROOT / "docs" / "plan-rules.md").read_text("utf-8")
    assert "(plan-growth.svg)" in page and "(plan-growth.csv)" in page
