"""Orders as a service: numbered, changed, closed once, found again in the plan; every change in the trail."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import CannotDo
from gambrel.shop.clock import today
from gambrel.shop.records.models import AuditLine, Customer, Order, OrderState, Person
from gambrel.shop.records.selectors.orders import order_page, orders_page
from gambrel.shop.records.services.orders import change_order, close_order, kinds_of_group, take_order
from gambrel.shop.records.week import order_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def taken(**changes: Any) -> Order:
    fields = {"customer": "The Juniper Table", "contact": "", "slug": "brisket-whole", "kinds": ["bison"],
              "weight_kg": Decimal("6.5"), "by_day": today() + timedelta(days=4), "price_cents_per_kg": 2_000.0,
              "must": True, "shelf_days": 5, "out_of_state": False,
              "by": Person.objects.get(role="counter")}  # fmt: skip
    return take_order(**{**fields, **changes})


def trail_of(order: Order) -> list[AuditLine]:
    return list(AuditLine.objects.filter(record="order", record_id=str(order.pk)).order_by("pk"))


def test_orders_are_numbered_on_and_no_number_comes_twice() -> None:
    codes = [taken().code for _ in range(4)]
    assert len(set(codes)) == 4
    assert len(set(Order.objects.values_list("code", flat=True))) == Order.objects.count()


def test_a_number_that_was_given_by_hand_is_stepped_over() -> None:
    following = str(int(taken().code) + 1)
    Order.objects.filter(pk=Order.objects.order_by("pk").first().pk).update(code=following)
    assert taken().code != following


@pytest.mark.parametrize("name", ["the juniper table", "THE JUNIPER TABLE", "The Juniper Table"])
def test_a_customer_is_found_whatever_the_capitals(name: str) -> None:
    before = Customer.objects.count()
    assert taken(customer=name).customer == Customer.objects.get(name="The Juniper Table")
    assert Customer.objects.count() == before


def test_a_new_customer_is_kept_with_the_telephone() -> None:
    made = taken(customer="Elk Street Kitchen", contact="555 0100").customer
    assert made is not None and (made.name, made.contact) == ("Elk Street Kitchen", "555 0100")


def test_an_order_without_a_customer_has_none() -> None:
    assert taken(customer="").customer is None


@pytest.mark.parametrize(
    ("group", "kinds"),
    [("bison", {"bison"}), ("cattle", {"grass-finished", "grain-finished", "wagyu"}), ("wagyu", {"wagyu"}),
     ("grass-finished", {"grass-finished"}), ("unicorn", set())],
)  # fmt: skip
def test_a_group_is_a_kind_or_every_kind_of_a_species(group: str, kinds: set[str]) -> None:
    assert set(kinds_of_group(group, shipped_kinds())) == kinds


def test_an_order_goes_into_the_plan_as_it_was_taken() -> None:
    order = taken(must=False, shelf_days=3, out_of_state=True, kinds=["wagyu", "bison"])
    core = order_of(order)
    assert (core.id, core.slug, core.weight_kg, core.by) == (
        order.code,
        "brisket-whole",
        6.5,
        today() + timedelta(days=4),
    )
    assert (core.must, core.shelf_days, core.out_of_state) == (False, 3, True)
    assert core.group.kinds == {"bison", "wagyu"} and core.group.name == "bison+wagyu"


def test_a_change_keeps_both_figures_in_the_trail() -> None:
    order = taken()
    change_order(order, weight_kg=Decimal("8"), by_day=today() + timedelta(days=6), price_cents_per_kg=2_100.0,
                 must=False, by=Person.objects.get(role="owner"), why="two more guests")  # fmt: skip
    line = trail_of(order)[-1]
    by_day = str(today() + timedelta(days=4))
    assert (line.before["by_day"], line.before["must"], line.before["state"]) == (by_day, True, "open")
    assert line.before["price_cents_per_kg"] == 2_000.0
    assert Decimal(line.before["weight_kg"]) == Decimal("6.5") and Decimal(line.after["weight_kg"]) == 8
    assert (line.after["price_cents_per_kg"], line.after["must"], line.why) == (
        2_100.0,
        False,
        "two more guests",
    )


@pytest.mark.parametrize(
    ("state", "said"),
    [(OrderState.FILLED, "handed over an order"), (OrderState.CANCELLED, "cancelled an order")],
)
def test_an_order_is_closed_once(state: str, said: str) -> None:
    order = taken()
    close_order(order, state=state, by=None, why="because")
    assert trail_of(order)[-1].what == said
    for again in (OrderState.FILLED, OrderState.CANCELLED):
        with pytest.raises(CannotDo, match="an open order"):
            close_order(order, state=again, by=None)
    with pytest.raises(CannotDo, match="an open order"):
        change_order(
            order, weight_kg=Decimal("1"), by_day=today(), price_cents_per_kg=1.0, must=True, by=None, why="x"
        )
    assert len(trail_of(order)) == 2, "what was refused left no line"


def test_open_orders_come_by_day_and_closed_ones_leave_the_list() -> None:
    late, soon = taken(by_day=today() + timedelta(days=30)), taken(by_day=today() + timedelta(days=1))
    page = orders_page(on=today())
    days = [line.order.by_day for line in page.open]
    assert days == sorted(days)
    assert [line.order.pk for line in page.open].index(soon.pk) < [line.order.pk for line in page.open].index(
        late.pk
    )
    close_order(soon, state=OrderState.FILLED, by=None)
    page = orders_page(on=today())
    assert soon.pk not in {line.order.pk for line in page.open} and soon in page.closed


@pytest.mark.parametrize(("days", "past"), [(-1, True), (0, False), (1, False)])
def test_an_order_is_past_the_day_after_its_day(days: int, past: bool) -> None:
    order = taken()
    Order.objects.filter(pk=order.pk).update(by_day=today() + timedelta(days=days))
    order.refresh_from_db()
    assert order_page(order, on=today()).line.is_past is past


@pytest.mark.parametrize(("must", "at_risk"), [(True, True), (False, False)])
def test_only_a_promise_is_at_risk(must: bool, at_risk: bool) -> None:
    order = taken(must=must)
    line = order_page(order, on=today()).line
    assert line.filled_kg is None, "no plan is accepted"
    assert line.at_risk is at_risk


def test_the_trail_of_an_order_is_its_own() -> None:
    first, second = taken(), taken()
    close_order(second, state=OrderState.CANCELLED, by=None, why="rained off")
    assert {line.what for line in order_page(first, on=today()).trail} == {"took an order"}
    assert [line.what for line in order_page(second, on=today()).trail] == [
        "cancelled an order",
        "took an order",
    ]
