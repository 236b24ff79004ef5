"""The first answer of the price list, against other solvers and against what can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog, minimize

from gambrel.measures import CannotDo
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import KG_PER_LB, kg_from_lb
from gambrel.price.list_program import least_change, most_sales
from gambrel.price.price_line import PriceLine, Relation, UnitLine


def unit(slug, lb, today, floor=None, ceiling=None):
    def per_kg(cents):
        return None if cents is None else cents_per_kg(cents)

    line = PriceLine(slug, kg_from_lb(lb), cents_per_kg(today), per_kg(floor), per_kg(ceiling))
    return UnitLine.of(line, KG_PER_LB)


def brought(units, prices):
    return sum(one.units * price for one, price in zip(units, prices, strict=True))


def change(units, prices):
    """Squared change of each price, weighed by what the cut brings today."""
    today = [one.units * one.today_cents for one in units]
    squares = [(price / one.today_cents - 1) ** 2 for one, price in zip(units, prices, strict=True)]
    return float(np.dot(today, squares) / sum(today))


def test_sale_units_come_back_as_they_were_written():
    one = unit("ribeye", 24, 1299, floor=999, ceiling=1499)
    assert (one.today_cents, one.low_cents, one.high_cents) == (1299, 999, 1499)
    assert one.units == pytest.approx(24)
    assert one.sales_cents(1299) == 31_176


def test_half_a_cent_goes_up_although_the_way_is_through_kilograms():
    assert unit("steak", 0.5, 1299).sales_cents(1299) == 650  # 649.5


def test_enough_today_changes_nothing():
    units = [unit("ribeye", 24, 1899), unit("grind", 300, 649)]
    assert least_change(units, [], needed_cents=100_000) == pytest.approx([1899, 649])


def test_all_cuts_rise_by_the_same_share_when_nothing_stands_in_the_way():
    """The weighed squares are least, with one sum to reach, where every change is the same (Lagrange)."""
    units = [unit("ribeye", 24, 1899), unit("sirloin", 22, 1099), unit("grind", 300, 649)]
    needed = round(1.07 * brought(units, [1899, 1099, 649]))
    prices = least_change(units, [], needed_cents=needed)
    for one, price in zip(units, prices, strict=True):
        assert price / one.today_cents == pytest.approx(1.07, abs=0.006)  # pieces of half a point
    assert brought(units, prices) >= needed - 0.01


def test_a_ceiling_leaves_the_rest_to_carry_it():
    units = [unit("ribeye", 24, 1899, ceiling=1949), unit("grind", 300, 649)]
    needed = round(1.10 * brought(units, [1899, 649]))
    ribeye, grind = least_change(units, [], needed_cents=needed)
    assert ribeye == pytest.approx(1949)
    assert grind == pytest.approx((needed - 24 * 1949) / 300, abs=0.01)


cuts = st.lists(
    st.tuples(st.floats(5, 300), st.integers(200, 3000), st.floats(1.02, 1.6)), min_size=2, max_size=7
)


@settings(max_examples=30, deadline=None)
@given(cuts=cuts, rise=st.floats(0.9, 1.3), ratio=st.floats(0.8, 1.2))
def test_as_little_change_as_a_quadratic_solver_finds(cuts, rise, ratio):
    """The pieces stand in for squares: the change is at most a little over the true least (SciPy, SLSQP)."""
    units = [unit(f"cut-{i}", lb, today, ceiling=today * room) for i, (lb, today, room) in enumerate(cuts)]
    relations = [Relation("cut-0", "cut-1", ratio)]
    today = np.array([one.today_cents for one in units])
    weights = np.array([one.units for one in units]) * today
    needed = int(rise * weights.sum())
    try:
        prices = least_change(units, relations, needed_cents=needed)
    except CannotDo:
        pytest.fail("without floors the relation can always be kept")
    highs = np.array([one.high_cents for one in units]) / today
    other = minimize(
        lambda m: np.dot(weights, (m - 1) ** 2) / weights.sum(),
        np.ones(len(units)),
        bounds=[(1 / t, h) for t, h in zip(today, highs, strict=True)],
        constraints=[
            {"type": "ineq", "fun": lambda m: np.dot(weights, m) / weights.sum() - needed / weights.sum()},
            {"type": "ineq", "fun": lambda m: (m[0] * today[0] - ratio * m[1] * today[1]) / today[0]},
        ],
        options={"ftol": 1e-12, "maxiter": 500},
    )
    if prices is None:
        assert not other.success or brought(units, other.x * today) < needed + 1
        return
    assert brought(units, prices) >= needed - 0.01
    assert prices[0] >= ratio * prices[1] - 1e-4
    assume(other.success)
    widest = 0.02 if np.abs(other.x - 1).max() <= 0.5 else 0.05
    # A chord of a square lies above it by a quarter of its width squared at most.
    assert change(units, prices) <= other.fun + 0.25 * widest**2 + 1e-6


@settings(max_examples=30, deadline=None)
@given(cuts=cuts, ratio=st.floats(0.8, 1.5))
def test_most_sales_as_another_solver_finds(cuts, ratio):
    units = [unit(f"cut-{i}", lb, today, ceiling=today * room) for i, (lb, today, room) in enumerate(cuts)]
    prices, _ = most_sales(units, [Relation("cut-0", "cut-1", ratio)])
    row = [0.0] * len(units)
    row[0], row[1] = -1.0, ratio
    other = linprog(
        [-one.units for one in units], A_ub=[row], b_ub=[0.0], bounds=[(1.0, one.high_cents) for one in units]
    )
    assert brought(units, prices) == pytest.approx(-other.fun, rel=1e-6)


def test_what_a_ceiling_is_worth_by_hand():
    """A cent more on the ribeye brings its 20 lb, and through the relation the sirloin's 25 lb over 1.25."""
    units = [
        unit("ribeye", 20, 1899, ceiling=1999),
        unit("sirloin", 25, 1099),
        unit("grind", 100, 649, ceiling=699),
    ]
    prices, holding = most_sales(units, [Relation("ribeye", "sirloin", 1.25)])
    assert prices == pytest.approx([1999, 1599.2, 699])
    assert holding == pytest.approx({"ribeye": 20 + 25 / 1.25, "grind": 100})


def test_ceilings_too_low_for_the_margin_give_nothing_and_no_error():
    assert least_change([unit("grind", 100, 649, ceiling=699)], [], needed_cents=70_000) is None


def test_rules_that_clash_say_which_and_by_how_much():
    units = [unit("ribeye", 20, 1899, ceiling=1500), unit("sirloin", 20, 1099, floor=1400)]
    with pytest.raises(CannotDo) as refusal:
        least_change(units, [Relation("ribeye", "sirloin", 1.15)], needed_cents=0)
    # 1.15 times 14.00 is 16.10 and the ceiling is 15.00: 1.10 on the ceiling, or .96 on the floor.
    said = " ".join(finding.given + finding.do for finding in refusal.value.findings)
    assert any(amount in said for amount in ("$1.10", "$0.96"))
