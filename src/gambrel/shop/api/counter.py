"""The counter: prices that hold, orders, and what the plan says of a day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django.http import HttpRequest
from ninja import Router, Status

from gambrel.measures import Findings
from gambrel.shop.api.asked import READS, WRITES, stop_if_other, writer
from gambrel.shop.api.values import DayOut, OrderIn, OrderOut, PricesOut, decimal_kg
from gambrel.shop.clock import today
from gambrel.shop.records.models import Order, OrderState, PlannedSide, PriceList
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.services import orders as orders_service
from gambrel.shop.records.sold_pieces import look_at_order
from gambrel.shop.records.week import kinds_of_shop

router = Router(tags=["counter"])
LONGEST_AHEAD_DAYS = 366


@router.get("/prices", response={200: PricesOut, **READS}, summary="The price list that holds")
def prices(request: HttpRequest) -> dict[str, Any]:
    newest = PriceList.objects.order_by("-at", "-pk").first()
    lines = list(newest.prices.order_by("group", "slug")) if newest else []
    return {"at": newest.at if newest else None, "prices": lines}


@router.get("/orders", response={200: list[OrderOut], **READS}, summary="Orders")
def orders(request: HttpRequest, state: OrderState = OrderState.OPEN) -> list[dict[str, Any]]:
    rows = Order.objects.filter(state=state).select_related("customer").order_by("by_day", "pk")[:1000]
    return [_order(order) for order in rows]


@router.post("/orders", response={201: OrderOut, **WRITES}, summary="Take an order")
def take_order(request: HttpRequest, sent: OrderIn) -> Status[dict[str, Any]]:
    writer(request)
    findings = Findings()
    look_at_order(sent.slug, findings, where="slug")
    for kind in sorted(set(sent.kinds) - kinds_of_shop().keys()):
        findings.add("kinds", kind, "a kind that the shop has", "Look at the sides on the rail.")
    if not today() <= sent.by_day <= today() + timedelta(days=LONGEST_AHEAD_DAYS):
        findings.add("by_day", f"{sent.by_day}", "a day from today on, within a year", "Send another day.")
    findings.stop_if_any()
    order = orders_service.take_order(
        code=f"P-{sent.key.hex[:16]}", customer=sent.customer, contact="", slug=sent.slug, kinds=sent.kinds,
        weight_kg=decimal_kg(sent.weight_kg), by_day=sent.by_day, price_cents_per_kg=sent.price_cents_per_kg,
        must=sent.must, shelf_days=sent.shelf_days, out_of_state=sent.out_of_state, by=None,
    )  # fmt: skip
    stop_if_other("key", kept=(order.slug, order.weight_kg, order.by_day),
                  sent=(sent.slug, decimal_kg(sent.weight_kg), sent.by_day))  # fmt: skip
    return Status(201, _order(order))


@router.get("/plan", response={200: DayOut, **READS}, summary="What the plan says of a day")
def plan_of_day(request: HttpRequest, day: date | None = None) -> dict[str, Any]:
    """Sides to cut that day by the plan that was accepted; today when no day is named."""
    asked, plan = day or today(), accepted_plan()
    rows = PlannedSide.objects.filter(plan=plan, day=asked).select_related("side__animal") if plan else []
    sides = [{"side_id": row.side_id, "side": str(row.side), "weight_kg": row.weight_kg, "ways": row.ways}
             for row in rows]  # fmt: skip
    return {"day": asked, "plan_id": plan.pk if plan else None, "sides": sides}


def _order(order: Order) -> dict[str, Any]:
    return {
        "id": order.pk, "code": order.code, "customer": order.customer.name if order.customer else None,
        "slug": order.slug, "group": order.group, "weight_kg": order.weight_kg, "by_day": order.by_day,
        "price_cents_per_kg": order.price_cents_per_kg, "must": order.must, "state": order.state,
    }  # fmt: skip
