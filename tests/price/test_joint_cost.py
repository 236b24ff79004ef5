"""Joint cost: the published case, and sums that must hold to the cent."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.measures.money import cents_per_kg
from gambrel.measures.units import kg_from_lb
from gambrel.price.joint_cost import (
    NET_REALISABLE,
    RELATIVE_SALES,
    JointLine,
    by_net_realisable_value,
    by_relative_sales_value,
    net_joint_cost_cents,
    share_joint_cost,
)
from gambrel.price.sheet import price_animal

POULTRY = [  # name, lb, price a lb, printed cost, printed cost a lb
    ("breasts", 100, 110, 67.50, 0.6750),
    ("wings", 20, 40, 4.90, 0.2450),
    ("thighs", 40, 70, 17.20, 0.4300),
    ("bones", 80, 20, 9.80, 0.1225),
    ("feathers", 10, 10, 0.60, 0.0600),
]
"""Cost accounting, chapter 16, worked solutions (undated): joint cost $100. Shares are cut to 3 places."""


def line(slug, lb, cents_lb, separable=0):
    return JointLine(slug, kg_from_lb(lb), cents_per_kg(cents_lb), separable)


lines = st.lists(
    st.builds(line, st.uuids().map(str), st.floats(0.5, 200), st.integers(1, 5000), st.integers(0, 3000)),
    min_size=1,
    max_size=30,
)
money = st.integers(0, 10**7)


def test_poultry_as_printed():
    answer = by_relative_sales_value([line(*row[:3]) for row in POULTRY], joint_cents=10_000)
    assert [cut.line.sales_cents for cut in answer.cuts] == [11_000, 800, 2800, 1600, 100]
    for cut, (name, lb, _, printed, printed_per_lb) in zip(answer.cuts, POULTRY, strict=True):
        assert cut.joint_cents / 100 == pytest.approx(printed, abs=0.03), name
        assert cut.joint_cents / 100 / lb == pytest.approx(printed_per_lb, abs=0.0015), name


def test_poultry_exact_shares():
    """The same case without the printed rounding: 100 times value over 163, by hand."""
    answer = by_relative_sales_value([line(*row[:3]) for row in POULTRY], joint_cents=10_000)
    assert [cut.joint_cents for cut in answer.cuts] == [6748, 491, 1718, 982, 61]


@given(cuts=lines, joint=money)
def test_relative_sales_adds_up_to_the_cent_with_one_margin(cuts, joint):
    answer = by_relative_sales_value(cuts, joint_cents=joint)
    assert sum(cut.joint_cents for cut in answer.cuts) == joint
    assert all(type(cut.joint_cents) is int and type(cut.cost_cents) is int for cut in answer.cuts)
    sales = sum(cut.sales_cents for cut in cuts)
    for cut in answer.cuts:
        if cut.line.sales_cents:
            same = 1 - joint / sales
            assert cut.margin_at_split_off_share == pytest.approx(same, abs=1.001 / cut.line.sales_cents)


@given(cuts=lines, joint=money)
def test_net_realisable_adds_up_and_spares_what_does_not_pay_for_itself(cuts, joint):
    if all(cut.net_realisable_cents <= 0 for cut in cuts):
        with pytest.raises(CannotDo):
            by_net_realisable_value(cuts, joint_cents=joint)
        return
    answer = by_net_realisable_value(cuts, joint_cents=joint)
    assert sum(cut.joint_cents for cut in answer.cuts) == joint
    assert answer.cost_cents == joint + sum(cut.separable_cents for cut in cuts)
    for cut in answer.cuts:
        if cut.line.net_realisable_cents <= 0:
            assert cut.joint_cents == 0
            assert cut.line.slug in answer.cost_only


@given(cuts=lines, joint=money)
def test_both_methods_agree_when_no_cut_has_a_cost_of_its_own(cuts, joint):
    bare = [JointLine(cut.slug, cut.kg, cut.price_cents_per_kg) for cut in cuts]
    if not any(cut.sales_cents for cut in bare):
        return
    one, other = (
        share_joint_cost(method, bare, joint_cents=joint) for method in (NET_REALISABLE, RELATIVE_SALES)
    )
    assert [cut.joint_cents for cut in one.cuts] == [cut.joint_cents for cut in other.cuts]


def test_own_cost_comes_off_before_sharing():
    cuts = [
        line("ribeye", 10, 2000, 2000),
        line("grind", 10, 1000, 1000),
    ]  # 180 and 90 dollars are left: 2 to 1
    answer = by_net_realisable_value(cuts, joint_cents=9000)
    assert [cut.joint_cents for cut in answer.cuts] == [6000, 3000]
    assert [cut.cost_cents for cut in answer.cuts] == [8000, 4000]


def test_by_products_are_credited_and_what_must_be_hauled_away_is_added():
    suet, hide = line("suet", 50, 10, 100), line("hide", 80, -5)
    assert net_joint_cost_cents(gross_cents=10_000, by_products=[suet]) == 10_000 - 400
    assert net_joint_cost_cents(gross_cents=10_000, by_products=[suet, hide]) == 10_000 - 400 + 400


def test_nothing_that_sells_is_a_finding():
    with pytest.raises(CannotDo, match="brings more than it costs"):
        by_relative_sales_value([line("bones", 10, 0)], joint_cents=100)


def test_a_by_product_that_costs_more_to_save_than_it_brings_adds_to_the_animal():
    """Tripe: 8 lb at .50 is 4.00, and 6.50 of work to clean it: 2.50 more for the cuts to carry."""
    tripe = line("tripe", 8, 50, 650)
    assert net_joint_cost_cents(gross_cents=10_000, by_products=[tripe]) == 10_250


def test_removal_paid_by_weight_is_carried_by_the_cuts(tables, read):
    """150 lb of bone and fat at .12 to be hauled: 18.00, seen in the sheet and in what the cuts carry."""
    before = price_animal(read(tables))
    tables["cut"][5] |= {"price": "-0.12/lb"}
    after = price_animal(read(tables))
    assert after.cost.waste_cents - before.cost.waste_cents == 1_800
    assert after.cost.joint_cents - before.cost.joint_cents == 1_800
    assert sum(cut.joint_cents for cut in after.joint.cuts) == after.cost.joint_cents


def test_credits_beyond_the_cost_leave_cuts_that_cost_less_than_nothing():
    """By-products worth 120.00 on an animal of 100.00: 20.00 is given back, 3 to 1 by what the cuts bring."""
    joint = net_joint_cost_cents(gross_cents=10_000, by_products=[line("hide", 100, 120)])
    assert joint == -2_000
    answer = by_relative_sales_value([line("ribeye", 30, 100), line("grind", 10, 100)], joint_cents=joint)
    assert [cut.joint_cents for cut in answer.cuts] == [-1_500, -500]


@given(cuts=lines, joint=money, credits=st.lists(st.integers(-200, 200), max_size=4))
def test_by_products_only_move_the_sum(cuts, joint, credits):
    by_products = [line(f"by-{i}", 10, price) for i, price in enumerate(credits)]
    net = net_joint_cost_cents(gross_cents=joint, by_products=by_products)
    assert net == joint - 10 * sum(credits)
    if any(cut.sales_cents for cut in cuts):
        assert sum(cut.joint_cents for cut in by_relative_sales_value(cuts, joint_cents=net).cuts) == net
