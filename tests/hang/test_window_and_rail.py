"""Ready window and rail metres by day."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.rail import OnRail, rail_by_day, rail_findings
from gambrel.hang.window import ready_window
from gambrel.measures import CannotDo

KINDS = shipped_kinds()
MARCH = date(2026, 3, 1)
days = st.integers(0, 40)


def test_bison_about_a_week_and_beef_about_two():
    """Common practice: bison about 7 days, beef about 14 (a producer leaflet: 14-21)."""
    assert ready_window(KINDS["bison"], MARCH).target == date(2026, 3, 8)
    for kind in ("grain-finished", "grass-finished", "wagyu"):
        assert ready_window(KINDS[kind], MARCH).target == date(2026, 3, 15)


def test_window_goes_over_the_end_of_february():
    window = ready_window(KINDS["bison"], date(2028, 2, 26))
    assert (window.earliest, window.target) == (date(2028, 3, 2), date(2028, 3, 4))


def test_a_shop_may_hang_for_its_own_days():
    window = ready_window(KINDS["bison"], MARCH, hang_days=(2, 3, 21))
    assert (window.earliest, window.target, window.latest) == (
        date(2026, 3, 3),
        date(2026, 3, 4),
        date(2026, 3, 22),
    )
    assert [window.says(date(2026, 3, day)) for day in (2, 3, 22, 23)] == ["early", "ready", "ready", "late"]


@pytest.mark.parametrize("wrong", [(3, 2, 5), (1, 2), (-1, 2, 3), (1, 2, 400), ()])
def test_hanging_days_out_of_order_are_refused(wrong):
    with pytest.raises(CannotDo, match="earliest, target and latest"):
        ready_window(KINDS["bison"], MARCH, hang_days=wrong)


def on_rail(rows: list[tuple[int, int]]) -> list[OnRail]:
    return [
        OnRail(f"side {n}", MARCH + timedelta(a), MARCH + timedelta(a + b)) for n, (a, b) in enumerate(rows)
    ]


@given(st.lists(st.tuples(days, days), max_size=12))
def test_side_days_add_up(rows):
    """Every side takes its place from the day it is hung to the day it is cut, both counted."""
    sides = on_rail(rows)
    table = rail_by_day(sides, length_m=100.0, metres_per_side=0.5)
    assert sum(row.sides for row in table) == sum(stay + 1 for _, stay in rows)
    assert all(row.metres == row.sides * 0.5 for row in table)
    for row in table:
        assert row.sides == sum(1 for a, b in rows if a <= (row.day - MARCH).days <= a + b)


def test_days_over_the_rail_are_one_finding_a_run():
    sides = on_rail([(0, 3), (2, 6), (2, 1), (7, 2)])
    rows = rail_by_day(sides, length_m=1.0, metres_per_side=0.6)
    assert [row.sides for row in rows] == [1, 1, 3, 3, 1, 1, 1, 2, 2, 1]
    found = list(rail_findings(rows, length_m=1.0, metres_per_side=0.6))
    assert [finding.where for finding in found] == [
        "rail, 2026-03-03 to 2026-03-04",
        "rail, 2026-03-08 to 2026-03-09",
    ]
    assert found[0].given == "3 sides, 1.8 m" and "2 sides by 2026-03-03" in found[0].do
    assert "1 side by 2026-03-08" in found[1].do


def test_a_full_rail_is_not_over_full():
    rows = rail_by_day(on_rail([(0, 1)] * 10), length_m=6.0, metres_per_side=0.6)
    assert not rail_findings(rows, length_m=6.0, metres_per_side=0.6)
    assert all(row.over_m == 0.0 for row in rows)


def test_an_empty_rail_has_no_days():
    assert rail_by_day([], length_m=6.0) == []
