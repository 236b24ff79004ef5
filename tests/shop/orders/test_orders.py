"""Orders taken, changed, handed over and cancelled; at risk until the plan covers them."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.measures.money import cents_per_kg
from gambrel.plan.read_week import group_of
from gambrel.shop.clock import today
from gambrel.shop.records.models import AuditLine, Customer, Order, OrderState, ShopProfile
from gambrel.shop.records.selectors.orders import orders_page
from gambrel.shop.records.services.orders import close_order
from gambrel.shop.records.week import week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def sent(**changes: str) -> dict[str, str]:
    by_day = (today() + timedelta(days=5)).isoformat()
    return {"customer": "The Juniper Table", "slug": "brisket-whole", "group": "grain-finished", "weight": "12 lb",
            "by_day": by_day, "price": "9.25/lb", "shelf_days": "5", "must": "on", **changes}  # fmt: skip


def test_an_order_is_taken_and_is_in_the_next_plan(counter_client: Client) -> None:
    answer = counter_client.post(reverse("new_order"), sent())
    assert answer.status_code == 302, answer.context and answer.context["form"].errors
    order = Order.objects.latest("pk")
    # 12 lb x 0.45359237 = 5.443 kg
    assert (order.weight_kg, order.customer, order.must) == (Decimal("5.443"), Customer.objects.get(), True)
    assert order.price_cents_per_kg == pytest.approx(cents_per_kg(925))
    week = week_of(ShopProfile.objects.get(), start=today(), days=14)
    assert order.code in {one.id for one in week.orders}


def test_an_order_of_any_cattle_takes_every_kind_of_cattle(counter_client: Client) -> None:
    counter_client.post(reverse("new_order"), sent(group="cattle"))
    order = Order.objects.latest("pk")
    assert set(order.kinds) == {"grass-finished", "grain-finished", "wagyu"}
    assert order.group == group_of(order.kinds).name


def test_every_slip_is_told_at_once_and_nothing_is_kept(counter_client: Client) -> None:
    before = Order.objects.count()
    answer = counter_client.post(
        reverse("new_order"), sent(slug="unicorn", weight="-2 lb", by_day="2020-01-01", price="much")
    )
    assert answer.status_code == 400
    assert set(answer.context["form"].errors) == {"slug", "weight", "by_day", "price"}
    assert Order.objects.count() == before


def test_a_change_needs_its_reason_and_stays_to_be_seen(counter_client: Client) -> None:
    order = Order.objects.filter(state=OrderState.OPEN).first()
    assert order is not None
    address = reverse("change_order", args=[order.pk])
    new = {
        "weight": "7.5 kg",
        "by_day": (today() + timedelta(days=4)).isoformat(),
        "price": "20/kg",
        "must": "on",
    }
    assert counter_client.post(address, new).status_code == 400
    assert counter_client.post(address, {**new, "why": "a bigger party"}).status_code == 302
    order.refresh_from_db()
    assert (order.weight_kg, order.price_cents_per_kg) == (Decimal("7.500"), 2000.0)
    line = AuditLine.objects.get(record="order", record_id=str(order.pk), what="changed an order")
    assert line.why == "a bigger party" and line.before["weight_kg"] != line.after["weight_kg"]


def test_an_order_is_cancelled_only_with_a_reason_and_closed_once(counter_client: Client) -> None:
    order = Order.objects.filter(state=OrderState.OPEN).first()
    assert order is not None
    address = reverse("close_order", args=[order.pk])
    assert counter_client.post(address, {"state": "cancelled"}).status_code == 400
    assert counter_client.post(address, {"state": "cancelled", "why": "rained off"}).status_code == 302
    assert counter_client.post(address, {"state": "filled"}).status_code == 400
    with pytest.raises(CannotDo):
        close_order(order, state=OrderState.FILLED, by=None)
    order.refresh_from_db()
    assert order.state == OrderState.CANCELLED


def test_without_a_plan_every_promise_is_at_risk() -> None:
    page = orders_page(on=today())
    assert {line.at_risk for line in page.open if line.order.must} == {True}
    assert [line.order.by_day for line in page.open] == sorted(line.order.by_day for line in page.open)


def test_the_cutter_sees_orders_and_takes_none(cutter_client: Client) -> None:
    text = cutter_client.get(reverse("orders")).content.decode()
    assert "Take an order" not in text and Order.objects.filter(state="open").first().code in text
    assert cutter_client.post(reverse("new_order"), sent()).status_code == 403
