"""Labour, packing and shrink in whole cents."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Entry, Findings
from gambrel.measures.units import kg_from_lb
from gambrel.price.labour import (
    Packing,
    Shrink,
    labour_cents,
    missing_wages,
    read_packing,
    read_wages,
    read_work,
)

WAGES = {"knife": 2600, "saw": 2400, "grinder": 2000, "packer": 1800}


def test_minutes_times_wage_by_hand():
    # 45 min at $26 is $19.50; 20 min at $18 is $6.00.
    assert labour_cents({"knife": 45.0, "packer": 20.0}, wages_cents_per_h=WAGES) == 1950 + 600
    assert labour_cents({"knife": 1.0}, wages_cents_per_h={"knife": 2610}) == 44  # 43.5 goes up
    assert labour_cents({}, wages_cents_per_h={}) == 0


@given(minutes=st.dictionaries(st.sampled_from(sorted(WAGES)), st.floats(0, 1000)))
def test_labour_is_whole_cents_and_never_off_by_more_than_half_a_cent_a_kind(minutes):
    cents = labour_cents(minutes, wages_cents_per_h=WAGES)
    assert type(cents) is int
    exact = sum(worked * WAGES[work] / 60 for work, worked in minutes.items())
    assert abs(cents - exact) <= 0.5 * len(minutes) + 1e-5


def test_work_without_a_wage_is_found():
    assert missing_wages({"knife": 10.0, "saw": 5.0, "grinder": 0.0}, {"knife": 2600}) == ["saw"]


def test_tables_are_read_with_units():
    findings = Findings()
    work = read_work(Entry({"knife": "1.5h", "packer": "20min"}, "work", findings))
    wages = read_wages(Entry({"knife": "$26.00"}, "wages", findings))
    packing = read_packing(Entry({"pack": "$0.28", "weight": "0.05/lb"}, "packing", findings))
    assert not findings
    assert work == {"knife": 90.0, "packer": 20.0}
    assert wages == {"knife": 2600}
    assert packing.cost_cents(packs=10, weight_kg=kg_from_lb(20)) == 280 + 100


def test_bare_minutes_and_unknown_work_are_findings():
    findings = Findings()
    read_work(Entry({"knife": 30, "broom": "5min"}, "work", findings))
    assert {finding.where for finding in findings} == {"work, knife", "work, broom"}


def test_packing_nothing_costs_nothing():
    assert Packing().cost_cents(packs=100, weight_kg=50.0) == 0


def test_shrink_puts_the_same_money_on_less_weight():
    shrink = Shrink(cost_cents=200_000, hot_kg=400.0, hung_kg=380.0)
    assert shrink.loss_share == pytest.approx(0.05)
    assert shrink.cents_per_hot_kg == 500.0
    assert shrink.cents_per_hung_kg == pytest.approx(526.3158, abs=1e-4)
    assert shrink.lost_cents == 10_000
