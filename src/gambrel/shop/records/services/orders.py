"""Orders: taken, changed, filled, cancelled with the reason; each change is in the trail."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.db import transaction
from django.db.models import Max

from gambrel.catalog.kinds import Kind
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.plan.read_week import group_of
from gambrel.shop.records.models import Customer, Order, OrderState, Person
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.sold_pieces import look_at_order


@transaction.atomic
def take_order(
    *, customer: str, contact: str, slug: str, kinds: list[str], weight_kg: Decimal, by_day: date,
    price_cents_per_kg: float, must: bool, shelf_days: int, out_of_state: bool, by: Person | None,
    code: str = "",
) -> Order:  # fmt: skip
    """A new order with the next number, or with `code`, which sent again gives the order that is there.

    The customer is found by name or made.
    """
    if code and (there := Order.objects.filter(code=code).first()) is not None:
        return there
    findings = Findings()
    look_at_order(slug, findings)
    findings.stop_if_any()
    found = Customer.objects.filter(name__iexact=customer).first() if customer else None
    if found is None and customer:
        found = Customer.objects.create(name=customer, contact=contact)
    number = (Order.objects.aggregate(Max("pk"))["pk__max"] or 0) + 1
    while Order.objects.filter(code=str(number)).exists():
        number += 1
    group = group_of(kinds)
    order = Order.objects.create(
        code=code or str(number), customer=found, slug=slug, group=group.name, kinds=sorted(group.kinds),
        weight_kg=weight_kg,
        by_day=by_day, price_cents_per_kg=price_cents_per_kg, must=must, shelf_days=shelf_days,
        out_of_state=out_of_state, taken_by=by,
    )  # fmt: skip
    record(by, "took an order", order, after=_said(order))
    return order


@transaction.atomic
def change_order(
    order: Order,
    *,
    weight_kg: Decimal,
    by_day: date,
    price_cents_per_kg: float,
    must: bool,
    by: Person | None,
    why: str,
) -> Order:
    """Another weight, day or price of an open order; `CannotDo` when it is not open any more."""
    order = _open(order)
    before = _said(order)
    order.weight_kg, order.by_day, order.price_cents_per_kg, order.must = (
        weight_kg,
        by_day,
        price_cents_per_kg,
        must,
    )
    order.save()
    record(by, "changed an order", order, before=before, after=_said(order), why=why)
    return order


@transaction.atomic
def close_order(order: Order, *, state: str, by: Person | None, why: str = "") -> Order:
    """Handed over, or cancelled with the reason."""
    order = _open(order)
    before, order.state = _said(order), state
    order.save(update_fields=("state",))
    verb = "handed over an order" if state == OrderState.FILLED else "cancelled an order"
    record(by, verb, order, before=before, after=_said(order), why=why)
    return order


def _open(order: Order) -> Order:
    order = Order.objects.select_for_update().get(pk=order.pk)
    if order.state != OrderState.OPEN:
        raise CannotDo([Finding(f"order {order.code}", str(order.state), "an open order",
                                "Look at the order again; take a new one if it is wanted after all.")])  # fmt: skip
    return order


def _said(order: Order) -> dict[str, object]:
    return {"weight_kg": str(order.weight_kg), "by_day": str(order.by_day),
            "price_cents_per_kg": order.price_cents_per_kg,
            "must": order.must, "state": str(order.state)}  # fmt: skip


def kinds_of_group(group: str, kinds: dict[str, Kind]) -> list[str]:
    """Slugs of a choice on the form: one kind, or every kind of a species."""
    return [slug for slug, kind in kinds.items() if group in (slug, kind.species)]
