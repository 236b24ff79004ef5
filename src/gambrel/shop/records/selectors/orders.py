"""Orders as the pages show them: what is promised by day, and whether the plan covers it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from gambrel.shop.records.models import AuditLine, Order, OrderState
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.selectors.today import filled_by_plan

CLOSED_SHOWN = 30


@dataclass(frozen=True, slots=True)
class OrderLine:
    """`filled_kg` is what the plan gives it; None where the plan does not reach its day or knows it not."""

    order: Order
    filled_kg: float | None
    is_past: bool

    @property
    def at_risk(self) -> bool:
        return self.order.must and (
            self.filled_kg is None or self.filled_kg < float(self.order.weight_kg) - 0.01
        )


@dataclass(frozen=True, slots=True)
class OrdersPage:
    open: tuple[OrderLine, ...]
    closed: tuple[Order, ...]


@dataclass(frozen=True, slots=True)
class OrderPage:
    line: OrderLine
    trail: tuple[AuditLine, ...]


def orders_page(*, on: date) -> OrdersPage:
    """Open orders by day, and the last that were closed."""
    rows = Order.objects.select_related("customer", "taken_by")
    closed = rows.exclude(state=OrderState.OPEN).order_by("-by_day", "-pk")[:CLOSED_SHOWN]
    return OrdersPage(_lines(rows.filter(state=OrderState.OPEN).order_by("by_day", "pk"), on), tuple(closed))


def order_page(order: Order, *, on: date) -> OrderPage:
    trail = AuditLine.objects.filter(record="order", record_id=str(order.pk)).order_by("-pk")[:50]
    return OrderPage(_lines([order], on)[0], tuple(trail))


def _lines(orders: Iterable[Order], on: date) -> tuple[OrderLine, ...]:
    filled = filled_by_plan(accepted_plan())
    return tuple(OrderLine(order, filled.get(order.code), order.by_day < on) for order in orders)
