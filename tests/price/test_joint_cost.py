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
