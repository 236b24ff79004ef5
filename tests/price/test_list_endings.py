"""The second answer of the price list: endings, against a search of every list."""

from __future__ import annotations

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import KG_PER_LB, kg_from_lb
from gambrel.price.endings import prices_with_ending
from gambrel.price.list_endings import choose_endings
from gambrel.price.price_line import PriceLine, Relation, UnitLine


def unit(slug, lb, today, floor=None, ceiling=None, endings=(99,)):
    def per_kg(cents):
        return None if cents is None else cents_per_kg(cents)

    line = PriceLine(slug, kg_from_lb(lb), cents_per_kg(today), per_kg(floor), per_kg(ceiling), endings)
    return UnitLine.of(line, KG_PER_LB)


def every_list(units, relations, needed):
    """All lists of allowed prices that keep every rule: (labels, what they bring)."""
    slugs = [one.slug for one in units]
    offered = [
        prices_with_ending(one.endings, low_cents=one.low_cents, high_cents=one.high_cents) for one in units
    ]
    for labels in itertools.product(*offered):
        price = dict(zip(slugs, labels, strict=True))
        sales = sum(one.sales_cents(label) for one, label in zip(units, labels, strict=True))
        if sales >= needed and all(price[r.above] >= r.ratio * price[r.below] - 1e-9 for r in relations):
            yield list(labels), sales


cuts = st.lists(
    st.tuples(
        st.floats(5, 200), st.integers(300, 900), st.integers(120, 320), st.sampled_from([(99,), (49, 99)])
    ),
    min_size=2,
    max_size=3,
)


@settings(max_examples=40, deadline=None)
@given(cuts=cuts, share=st.floats(0.5, 1.1), ratio=st.floats(0.7, 1.4))
def test_a_list_is_found_whenever_there_is_one(cuts, share, ratio):
    units = [
        unit(f"cut-{i}", lb, today, floor=max(1, today - room), ceiling=today + room, endings=ends)
        for i, (lb, today, room, ends) in enumerate(cuts)
    ]
    relations = [Relation("cut-0", "cut-1", ratio)]
    needed = int(share * sum(one.sales_cents(one.high_cents) for one in units))
    good = list(every_list(units, relations, needed))
    chosen = choose_endings(units, relations, [one.today_cents for one in units], needed_cents=needed)
    assert (chosen is not None) == bool(good)
    if chosen is not None:
        assert chosen in [labels for labels, _ in good]


@settings(max_examples=40, deadline=None)
@given(cuts=cuts, ratio=st.floats(0.7, 1.4))
def test_the_dearest_list_brings_most(cuts, ratio):
    units = [
        unit(f"cut-{i}", lb, today, floor=max(1, today - room), ceiling=today + room, endings=ends)
        for i, (lb, today, room, ends) in enumerate(cuts)
    ]
    relations = [Relation("cut-0", "cut-1", ratio)]
    good = list(every_list(units, relations, 0))
    asked = {"prices": [one.high_cents for one in units], "needed_cents": 0, "most": True}
    if not good:
        with pytest.raises(CannotDo, match="endings"):
            choose_endings(units, relations, **asked)
        return
    chosen = choose_endings(units, relations, **asked)
    sales = sum(one.sales_cents(label) for one, label in zip(units, chosen, strict=True))
    assert sales >= max(brings for _, brings in good) * 0.999


def test_a_price_that_already_ends_well_stays():
    units = [unit("ribeye", 24, 1899), unit("grind", 300, 649, endings=(49, 99))]
    assert choose_endings(units, [], [1899, 649], needed_cents=0) == [1899, 649]


def test_a_price_between_endings_goes_to_the_nearer_when_the_margin_lets_it():
    units = [unit("roast", 10, 810, endings=(99,))]
    assert choose_endings(units, [], [810], needed_cents=0) == [799]
    assert choose_endings(units, [], [810], needed_cents=8000) == [899]


def test_no_price_between_floor_and_ceiling_is_named():
    units = [unit("roast", 10, 1310, floor=1305, ceiling=1320)]
    with pytest.raises(CannotDo, match="no price with its ending"):
        choose_endings(units, [], [1310], needed_cents=0)


def test_a_long_list_is_settled_quickly():
    """Forty cuts, as many as a counter shows: every price ends in .49 or .99 and the sum is reached."""
    units = [unit(f"cut-{i}", 5 + 7 * i, 399 + 37 * i, endings=(49, 99)) for i in range(40)]
    first = [1.06 * one.today_cents for one in units]
    needed = round(sum(one.units * price for one, price in zip(units, first, strict=True)))
    chosen = choose_endings(units, [], first, needed_cents=needed)
    assert {label % 100 for label in chosen} <= {49, 99}
    earned = sum(one.sales_cents(label) for one, label in zip(units, chosen, strict=True))
    assert needed <= earned < 1.01 * needed
