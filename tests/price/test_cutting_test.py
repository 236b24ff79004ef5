"""Cutting tests as printed in costing texts, and what a cutting test must always obey."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Entry, Findings
from gambrel.measures.money import cents_per_kg, cents_per_lb
from gambrel.measures.units import kg_from_lb, lb_from_kg
from gambrel.price.cutting_test import AS_PURCHASED, USABLE, ByPart, CuttingTest, read_cutting_test


def lb_test(bought_lb, price_cents_per_lb, parts, loss_lb=0.0):
    by_parts = tuple(ByPart(name, kg_from_lb(lb), cents_per_kg(price)) for name, lb, price in parts)
    return CuttingTest(
        "test", kg_from_lb(bought_lb), cents_per_kg(price_cents_per_lb), by_parts, kg_from_lb(loss_lb)
    )


def rib():
    """The Butcher's Yield Test (kitchen-costing page, undated): rib 103 cut to a 109."""
    return lb_test(28, 130, [("fat", 3, 10), ("bone", 4, 30), ("trim", 5, 130)])


def lamb_loin():
    """Butcher's test card for a lamb loin, cost-control notes (scribd.com document 705737293, undated)."""
    return lb_test(12, 665, [("fat", 3, 0), ("kidney", 1, 610), ("flank", 1.5, 460)], 0.5)


def test_rib_as_printed():
    test = rib()
    assert test.bought_cents == 3640
    assert lb_from_kg(test.by_part_kg) == pytest.approx(12)
    assert test.by_part_cents == 800
    assert lb_from_kg(test.usable_kg) == pytest.approx(16)
    # The page misprints 22.40; 36.40 less 8.00 is 28.40, and its next lines use that.
    assert test.usable_cents == 2840
    assert cents_per_lb(test.cost_cents_per_usable_kg) == pytest.approx(177.5, abs=0.1)
    assert test.cost_factor == pytest.approx(1.365, abs=0.001)


def test_lamb_loin_as_printed():
    test = lamb_loin()
    assert test.bought_cents == 7980
    assert lb_from_kg(test.usable_kg) == pytest.approx(6)
    assert test.usable_cents == 6680
    assert cents_per_lb(test.cost_cents_per_usable_kg) == pytest.approx(1113, abs=0.5)
    assert test.cost_factor == pytest.approx(1.67, abs=0.005)
    assert test.portion_cents(portion_kg=kg_from_lb(5 / 16)) == 348
    assert 5 / 16 * test.cost_factor == pytest.approx(0.52, abs=0.005)


def test_lamb_loin_cooking_sheet_divides_the_whole_cost_and_says_so():
    """The same text's cooking sheet: 79.80 over 5 lb is 15.96, factor 2.4."""
    cooked = lamb_loin().cooked(cooked_kg=kg_from_lb(5), base=AS_PURCHASED)
    assert cooked.base == AS_PURCHASED
    assert cents_per_lb(cooked.cost_cents_per_cooked_kg) == pytest.approx(1596)
    assert cooked.cost_factor == pytest.approx(2.4)
    on_usable = lamb_loin().cooked(cooked_kg=kg_from_lb(5), base=USABLE)
    assert cents_per_lb(on_usable.cost_cents_per_cooked_kg) == pytest.approx(6680 / 5)


def test_whole_heifer_as_printed():
    """Meat Retailing, 1920s: 407.5 lb at .10, .1276 a saleable lb: 319.4 lb saleable, 78.4 %."""
    saleable_lb = 40.75 / 0.1276
    assert saleable_lb == pytest.approx(319.4, abs=0.1)
    test = lb_test(407.5, 10, [], 407.5 - saleable_lb)
    assert test.bought_cents == 4075
    assert test.usable_share == pytest.approx(0.784, abs=0.0005)
    assert cents_per_lb(test.cost_cents_per_usable_kg) == pytest.approx(12.76, abs=0.005)


def test_new_cost_is_the_factor_times_the_new_price():
    test = lamb_loin()
    new = test.new_cost_cents_per_usable_kg(price_cents_per_kg=cents_per_kg(700))
    assert cents_per_lb(new) == pytest.approx(6680 / 6 / 665 * 700)


@given(
    bought=st.floats(10, 100),
    price=st.integers(50, 2000),
    part=st.floats(0, 4),
    worth=st.integers(0, 500),
    loss=st.floats(0, 4),
)
def test_weight_and_money_balance(bought, price, part, worth, loss):
    test = lb_test(bought, price, [("part", part, worth)], loss)
    assert test.usable_kg + test.by_part_kg + test.loss_kg == pytest.approx(test.bought_kg)
    assert test.usable_cents + test.by_part_cents == test.bought_cents
    if worth <= price:
        assert test.cost_factor >= 1 - 0.01


def test_an_unknown_base_is_our_own_mistake():
    with pytest.raises(ValueError, match="base"):
        rib().cooked(cooked_kg=1.0, base="dry weight")


def test_a_table_is_read_with_every_question():
    findings = Findings()
    sheet = read_cutting_test(
        Entry(
            {
                "name": "lamb loin",
                "bought": "12lb",
                "price": "6.65/lb",
                "loss": "0.5lb",
                "portion": "5oz",
                "cooked": "5lb",
                "cooked_base": "as-purchased-cost",
                "new_price": "7.00/lb",
                "by_part": [
                    {"name": "kidney", "weight": "1lb", "price": "6.10/lb"},
                    {"name": "flank", "weight": "1.5lb", "price": "4.60/lb"},
                    {"name": "fat", "weight": "3lb", "price": "0/lb"},
                ],
            },
            "cutting_test 1",
            findings,
        )
    )
    assert not findings
    answer = sheet.as_json()
    assert answer["usable_cents"] == 6680
    assert answer["portion_cents"] == 348
    assert answer["cooked_base"] == AS_PURCHASED
    assert answer["cooked_cost_factor"] == pytest.approx(2.4)


def test_parts_that_leave_nothing_are_a_finding():
    findings = Findings()
    entry = Entry(
        {"name": "loin", "bought": "12lb", "price": "6.65/lb", "loss": "12lb"}, "cutting_test 1", findings
    )
    assert read_cutting_test(entry) is None
    assert "nothing usable" in next(iter(findings)).given


def test_loss_carries_weight_and_no_value_by_hand():
    """10 lb at 4.00 with 2 lb lost is 5.00 a usable lb; with the 2 lb as trim worth 1.00, 4.75."""
    lost, sold = lb_test(10, 400, [], 2), lb_test(10, 400, [("trim", 2, 100)])
    assert (lost.usable_cents, sold.usable_cents) == (4000, 3800)
    assert cents_per_lb(lost.cost_cents_per_usable_kg) == pytest.approx(500)
    assert cents_per_lb(sold.cost_cents_per_usable_kg) == pytest.approx(475)
    assert lost.cost_factor == pytest.approx(1.25)


def test_bone_that_must_be_paid_for_adds_to_the_cost():
    """3 lb of bone at .20 to be rid of: 40.00 and .60 over 7 lb."""
    test = lb_test(10, 400, [("bone", 3, -20)])
    assert test.by_part_cents == -60
    assert test.usable_cents == 4060
    assert cents_per_lb(test.cost_cents_per_usable_kg) == pytest.approx(580)


@given(loss=st.floats(0, 4), more=st.floats(0.01, 4))
def test_more_loss_never_costs_less(loss, more):
    one, other = lb_test(10, 400, [("trim", 1, 100)], loss), lb_test(10, 400, [("trim", 1, 100)], loss + more)
    assert other.cost_factor > one.cost_factor
    assert other.usable_cents == one.usable_cents


@pytest.mark.parametrize(
    ("fields", "where"),
    [
        ({"price": "6.65"}, "cutting_test 1, price"),
        ({"bought": 12}, "cutting_test 1, bought"),
        ({"loss": "-1lb"}, "cutting_test 1, loss"),
        ({"cooked_base": "dry"}, "cutting_test 1, cooked_base"),
        ({"by_part": [{"name": "fat", "weight": "3lb"}]}, "cutting_test 1, by_part 1, price"),
        ({"by_part": [{"name": "fat", "weight": "3kg", "price": "0/lb"}], "loss": "6lb"}, "cutting_test 1, by_part"),
        ({"by_parts": []}, "cutting_test 1, by_parts"),
    ],
)  # fmt: skip
def test_slips_in_a_cutting_test_are_findings(fields, where):
    findings = Findings()
    entry = Entry(
        {"name": "loin", "bought": "12lb", "price": "6.65/lb", **fields}, "cutting_test 1", findings
    )
    assert read_cutting_test(entry) is None
    assert where in [finding.where for finding in findings]
