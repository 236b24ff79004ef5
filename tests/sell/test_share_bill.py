"""Bills of shares, by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo, Estimate
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import kg_from_lb
from gambrel.sell.share_bill import (
    BillLine,
    Extra,
    Kept,
    ShareSold,
    ShareWeights,
    Terms,
    bill_forecast,
    look_over,
    share_bill,
)

SOLD = ShareSold("R. Aldous", "federal", date(2026, 2, 1), date(2026, 2, 10))
TERMS = Terms(
    hanging_cents_per_kg=cents_per_kg(425), cut_wrap_cents_per_kg=cents_per_kg(95), head_fee_cents=12_000,
    deposit_cents=30_000, extras=(Extra("vacuum packs", cents_per_kg=cents_per_kg(25)),
                                  Extra("patties", fixed_cents=2500)),
)  # fmt: skip
QUARTER = ShareWeights(
    hot_kg=kg_from_lb(187.5), hung_kg=kg_from_lb(180.0), taken_kg=kg_from_lb(120.0),
    ground_kg=kg_from_lb(48.0), sides=0.5,
)  # fmt: skip


def amounts(terms: Terms = TERMS, weights: ShareWeights = QUARTER, sold: ShareSold = SOLD) -> dict[str, int]:
    return {line.what: line.amount_cents for line in share_bill(terms, sold, weights).lines}


def test_a_quarter_by_hand() -> None:
    """187.5 lb at $4.25 is $796.875, so $796.88; at $0.95 $178.125, $178.13; a quarter of $120 is $30; 120 lb at
    $0.25 is $30; patties $25; less $300. Charged $1060.01, due $760.01; over 120 lb that is $8.8334 a lb."""
    assert amounts() == {
        "meat, hanging weight": 79_688, "cut and wrap, hanging weight": 17_813, "kill and fees": 3_000,
        "vacuum packs": 3_000, "patties": 2_500, "deposit": -30_000,
    }  # fmt: skip
    bill = share_bill(TERMS, SOLD, QUARTER)
    assert (bill.charged_cents, bill.due_cents) == (106_001, 76_001)
    assert bill.cents_per_taken_kg == pytest.approx(cents_per_kg(106_001 / 120))


def test_charged_on_the_hung_weight() -> None:
    """180 lb at $4.25 is $765.00."""
    assert amounts(replace(TERMS, charged_on="hung"))["meat, hanging weight"] == 76_500


@pytest.mark.parametrize(("on", "cents"), [("hot", 4688), ("hung", 4500), ("taken", 3000), ("ground", 1200)])
def test_an_extra_is_charged_on_the_weight_it_names(on: str, cents: int) -> None:
    """$0.25 a lb on 187.5, 180, 120 and 48 lb; $46.875 is $46.88."""
    vacuum = Extra("vacuum packs", cents_per_kg=cents_per_kg(25), on=on)
    assert amounts(replace(TERMS, extras=(vacuum,)))["vacuum packs"] == cents


def test_work_only_for_who_owns_the_meat_already() -> None:
    custom = replace(SOLD, inspected="custom")
    found = amounts(replace(TERMS, hanging_cents_per_kg=None, deposit_cents=0), sold=custom)
    assert "meat, hanging weight" not in found and "deposit" not in found
    assert found["cut and wrap, hanging weight"] == 17_813


def test_an_uninspected_share_is_bought_before_the_kill_or_never() -> None:
    custom = replace(SOLD, inspected="custom")
    assert amounts(sold=custom)["meat, hanging weight"] == 79_688
    late = replace(custom, bought_on=date(2026, 2, 11))
    with pytest.raises(CannotDo, match="before it is killed"):
        share_bill(TERMS, late, QUARTER)
    assert look_over(replace(TERMS, hanging_cents_per_kg=None), late) == []
    assert look_over(TERMS, replace(late, inspected="federal")) == []
    assert look_over(TERMS, replace(late, killed_on=None)) == []


def test_what_is_wrong_with_the_terms_is_said_at_once() -> None:
    bad = replace(
        TERMS, charged_on="live", deposit_cents=-1, extras=(Extra("patties", fixed_cents=-5, on="bones"),)
    )
    found = look_over(bad, replace(SOLD, owner=" "))
    assert [finding.where for finding in found] == ["owner", "charged on", "patties", "deposit", "patties"]


def test_a_deposit_above_the_bill_is_paid_back() -> None:
    assert share_bill(replace(TERMS, deposit_cents=200_000), SOLD, QUARTER).due_cents == 106_001 - 200_000


def test_lines_that_come_to_nothing_are_left_out() -> None:
    bare = share_bill(Terms(hanging_cents_per_kg=100.0), SOLD, QUARTER)
    assert [line.what for line in bare.lines] == ["meat, hanging weight"]
    assert bare.lines[0] == BillLine("meat, hanging weight", 8505, QUARTER.hot_kg, 100.0)


@given(
    st.floats(1, 400),
    st.floats(0, 3000),
    st.floats(0, 500),
    st.integers(0, 50_000),
    st.sampled_from([2.0, 1.0, 0.5]),
)
def test_lines_add_up_to_the_cent(hot: float, price: float, work: float, deposit: int, sides: float) -> None:
    terms = Terms(price, cut_wrap_cents_per_kg=work, head_fee_cents=9_999, deposit_cents=deposit)
    bill = share_bill(terms, SOLD, ShareWeights(hot, hot * 0.96, hot * 0.6, hot * 0.2, sides))
    assert bill.charged_cents - deposit == bill.due_cents
    assert abs(bill.charged_cents - (hot * (price + work) + 9_999 * sides / 2)) <= 1.5


def test_before_the_animal_is_cut_the_bill_has_an_interval() -> None:
    """Three weights, 180, 187.5 and 195 lb: the mean of the bills is the bill of the mean, to the rounding."""
    likely = tuple(replace(QUARTER, hot_kg=kg_from_lb(lb)) for lb in (180.0, 187.5, 195.0))
    before = bill_forecast(TERMS, SOLD, likely)
    assert before.charged_cents.mean == pytest.approx(106_001, abs=1.5)
    assert before.charged_cents.p05 < 106_001 < before.charged_cents.p95
    assert before.cents_per_taken_kg.mean == pytest.approx(106_001 / QUARTER.taken_kg, rel=1e-4)


def test_nobody_pays_by_the_kg_for_nothing() -> None:
    assert share_bill(TERMS, SOLD, replace(QUARTER, taken_kg=0.0)).cents_per_taken_kg is None


@pytest.mark.parametrize(
    ("taken_kg", "within", "more"), [(55.0, True, 1.0), (50.0, True, -4.0), (60.1, False, 6.1)]
)
def test_what_was_foretold_and_what_came(taken_kg: float, within: bool, more: float) -> None:
    kept = Kept(Estimate(54.0, 49.0, 60.0), taken_kg)
    assert kept.within is within
    assert kept.more_kg == pytest.approx(more)
