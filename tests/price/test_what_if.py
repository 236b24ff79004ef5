"""What if: another margin, wage or ending, and prices settled by hand, worked out without a new plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gambrel.measures import CannotDo
from gambrel.measures.units import KG_PER_LB
from gambrel.price.week_prices import price_week
from gambrel.price.what_if import WhatIf, price_what_if

RIBEYE = "ribeye-steak (grain-finished)"


def per_kg(cents_per_lb):
    return cents_per_lb / KG_PER_LB


def new_prices(found):
    return {line.slug: line.new_cents_per_kg for line in found.price_list.lines}


def test_with_nothing_changed_it_is_the_list_of_the_plan(planned):
    assert price_what_if(planned.week, planned.plan, WhatIf()) == price_week(planned.week, planned.plan)


def test_a_margin_of_three_in_ten_needs_that_much(planned):
    """Costs of 4154.50 (worked in the tests of the list) over 0.7 are 5935.00."""
    found = price_what_if(planned.week, planned.plan, WhatIf(margin_pct=30.0))
    assert found.price_list.needed_cents == 593_500
    assert found.price_list.met


def test_wages_follow_the_wage(planned):
    """Twice the wage is twice what the hours cost; the owner's animal carries its part by hot weight."""
    wage = planned.week.shop.wage_cents_per_hour
    assert wage > 0
    before = price_week(planned.week, planned.plan)
    found = price_what_if(planned.week, planned.plan, WhatIf(wage_cents_per_hour=2 * wage))
    animals = {hanging.id: hanging for hanging in planned.week.animals}
    cut = [(animals[side.animal].is_sold, animals[side.animal].side_hot_kg[side.half])
           for side in planned.plan.sides if side.day]  # fmt: skip
    own_share = sum(kg for sold, kg in cut if sold) / sum(kg for _, kg in cut)
    assert 0 < own_share < 1
    more_cents = -planned.plan.money.wages_cents * own_share
    assert found.cost_cents - before.cost_cents == pytest.approx(more_cents, abs=2)


def test_a_plan_without_wages_does_not_know_its_hours(planned):
    week = replace(planned.week, shop=replace(planned.week.shop, wage_cents_per_hour=0.0))
    with pytest.raises(CannotDo, match="wage"):
        price_what_if(week, planned.plan, WhatIf(wage_cents_per_hour=2000.0))


def test_another_ending(planned):
    found = price_what_if(planned.week, planned.plan, WhatIf(ending_cents=49))
    assert {round(price * KG_PER_LB) % 100 for price in new_prices(found).values()} == {49}


def test_a_price_by_hand_stays_and_the_others_carry_the_rest(planned):
    name = next(line.slug for line in price_week(planned.week, planned.plan).price_list.lines
                if line.slug.startswith("ribeye"))  # fmt: skip
    settled = {name: per_kg(2001)}
    found = price_what_if(planned.week, planned.plan, WhatIf(by_hand=settled))
    before = new_prices(price_week(planned.week, planned.plan))
    after = new_prices(found)
    assert after[name] * KG_PER_LB == pytest.approx(2001)
    assert found.price_list.met
    others = [slug for slug in after if slug != name]
    assert after[name] < before[name]
    assert all(after[slug] >= before[slug] for slug in others)


def test_when_every_price_is_settled_too_low_the_finding_says_how_short(planned):
    lines = price_week(planned.week, planned.plan).price_list.lines
    settled = {line.slug: per_kg(500) for line in lines}
    found = price_what_if(planned.week, planned.plan, WhatIf(by_hand=settled)).price_list
    brought = found.promised_cents + sum(round(line.kg / KG_PER_LB * 500) for line in lines)
    assert found.new_cents == pytest.approx(brought, abs=3)
    assert found.short_cents == found.needed_cents - found.new_cents > 0
    assert found.findings


def test_a_shop_that_sells_by_the_kilogram_has_whole_cents_there(planned):
    found = price_what_if(planned.week, planned.plan, WhatIf(), sold_by="kg")
    for price in new_prices(found).values():
        assert price == pytest.approx(round(price), abs=1e-6)
        assert round(price) % 100 == planned.week.shop.margin.ending_cents
