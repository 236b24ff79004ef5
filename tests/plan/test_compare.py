"""Two plans side by side."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.plan import Week
from gambrel.plan.market import Origin
from gambrel.plan.questions.compare import Comparison, WayChange, compare, comparison_sentences, seen
from gambrel.plan.result import Money, PlanResult, Sale, SidePlan, Surplus

Read = Callable[[str], Week]

MONDAY, FRIDAY = date(2026, 3, 9), date(2026, 3, 13)
BEEF = Origin("grain-finished", frozenset(("grain-finished",)), "federal")


def side(name: str, day: date | None, **ways: str) -> SidePlan:
    return SidePlan(name, name[:2], name[3:], "grain-finished", day, 170.0, ways)


def plan(*sides: SidePlan, sold_kg: float = 20.0, left_kg: float = 0.0) -> PlanResult:
    """Chuck roll at $20.00 a kg, what is left at $8.00; wages of $30.00."""
    money = Money(counter_cents=round(sold_kg * 2000), surplus_cents=round(left_kg * 800), wages_cents=-3000)
    sales = (Sale(0, 1, 0, sold_kg, 2000.0, money.counter_cents),)
    surplus = (Surplus("chuck-roll", BEEF, left_kg, 800.0, money.surplus_cents),) if left_kg else ()
    return PlanResult("optimal", 0, 0.0, 0.1, money, sides, sales, (), surplus)


@pytest.fixture
def found(read: Read, parts: dict[str, str]) -> Comparison:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    old = plan(
        side("C1-left", MONDAY, forequarter="boneless"), side("C1-right", MONDAY, forequarter="boneless")
    )
    new = plan(side("C1-left", FRIDAY, forequarter="boneless"), side("C1-right", MONDAY, forequarter="bone-in"),
               sold_kg=15.0, left_kg=5.0)  # fmt: skip
    return compare(seen(week, old), seen(week, new))


def test_a_side_on_another_day_and_one_another_way_are_told_apart(found: Comparison) -> None:
    left, right = found.sides
    assert (left.side, left.day_before, left.day_after, left.ways) == ("C1-left", MONDAY, FRIDAY, ())
    assert right.ways == (WayChange("forequarter", "boneless", "bone-in"),)
    assert left.another_day and not right.another_day
    assert not found.is_same


def test_the_money_is_worked_by_hand(found: Comparison) -> None:
    # 5 kg less at $20.00, 5 kg more at $8.00: $60.00 less.
    assert found.profit_cents == -6000
    assert dict(found.money_cents) == {"counter_cents": -10000, "surplus_cents": 4000}
    (chuck,) = found.products
    assert (chuck.slug, chuck.cents) == ("chuck-roll", -6000)
    assert (chuck.sold_kg, chuck.leftover_kg) == (pytest.approx(-5.0), pytest.approx(5.0))


def test_the_sentences_say_all_of_it(found: Comparison) -> None:
    assert comparison_sentences(found) == (
        "C1-left cut Fri 13 Mar instead of cut Mon 09 Mar",
        "C1-right: forequarter goes bone-in instead of boneless",
        "chuck-roll (grain-finished): -5.0 kg sold at the counter, +5.0 kg left over; $60.00 less",
        "together the counter $100.00 less, what is left over $40.00 more",
    )


def test_many_products_are_summed_in_one_line(found: Comparison) -> None:
    many = replace(found, products=found.products * 3, sides=(), money_cents={})
    assert comparison_sentences(many, most=1)[-1] == "2 more products: $120.00 less"


def test_sides_that_come_and_go_are_named(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    found = compare(seen(week, plan(side("C1-left", MONDAY))), seen(week, plan(side("C2-left", None))))
    assert (found.only_before, found.only_after, found.sides) == (("C1-left",), ("C2-left",), ())
    assert comparison_sentences(found) == ("C2-left is new in the plan", "C1-left is no longer in the plan")


def test_a_side_that_hangs_on_is_not_compared_way_by_way(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    cut, hung = plan(side("C1-left", MONDAY, forequarter="whole")), plan(side("C1-left", None))
    found = compare(seen(week, cut), seen(week, hung))
    assert found.sides[0].ways == ()
    assert comparison_sentences(found) == ("C1-left hung on instead of cut Mon 09 Mar",)


def test_a_piece_that_comes_about_in_one_plan_only(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    old = plan(side("C1-left", MONDAY, hindquarter="bone-in"))
    new = plan(side("C1-left", MONDAY, hindquarter="boneless", **{"strip-loin": "steaks"}))
    assert comparison_sentences(compare(seen(week, old), seen(week, new))) == (
        "C1-left: hindquarter goes boneless instead of bone-in",
        "C1-left: strip-loin comes about and goes steaks",
    )
    assert (
        "strip-loin no longer comes about"
        in comparison_sentences(compare(seen(week, new), seen(week, old)))[1]
    )


def test_the_same_plan_twice_is_the_same(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    one = plan(side("C1-left", MONDAY, forequarter="whole"))
    found = compare(seen(week, one), seen(week, one))
    assert found.is_same and not found.products and not found.money_cents
    assert comparison_sentences(found) == ()
