"""What must be done now and what is wrong, in order. Each matter names the page that does it; words are the page's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from django.db.models import Count, Sum
from django.utils import timezone

from gambrel.catalog.cuts import shipped_cuts
from gambrel.shop.records.models import (
    Cutting,
    OnHand,
    Order,
    OrderState,
    Place,
    Plan,
    PlannedSide,
    SideState,
)
from gambrel.shop.records.selectors.cooler import rooms_now
from gambrel.shop.records.selectors.plan import accepted_plan, planned
from gambrel.shop.records.selectors.rail import SideLine, side_lines
from gambrel.shop.records.week import sides_on_rail

NOW, SOON, WATCH = "now", "soon", "watch"
ORDERS_AHEAD_DAYS = 7
FACE_WANTED_DAYS = 2
"""A rib face is wanted so many days before a side is ready: the forecast and the plan lean on it."""
TRIM_DAYS = 2
"""Trim is ground or frozen within two days: common practice; the shop's food-safety plan comes first."""
PLAN_LOOK_BACK_DAYS = 14
COOLER_DAYS = 2


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to do or to look at. `what` names its sentence, `about` fills it, `goes_to` and `key` its page."""

    urgency: str
    what: str
    goes_to: str
    key: int | None = None
    about: dict[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PlanAgainstActual:
    """A planned side of the last days: when it was to be cut and when it was, and its weight then."""

    side: str
    day: date
    cut_on: date | None
    planned_kg: float
    begun_kg: float | None


@dataclass(frozen=True, slots=True)
class TodayPage:
    matters: tuple[Matter, ...]
    hanging: int
    ready: int
    plan: Plan | None
    against: tuple[PlanAgainstActual, ...]

    def of(self, urgency: str) -> tuple[Matter, ...]:
        return tuple(one for one in self.matters if one.urgency == urgency)

    @property
    def now(self) -> tuple[Matter, ...]:
        return self.of(NOW)

    @property
    def soon(self) -> tuple[Matter, ...]:
        return self.of(SOON)

    @property
    def watch(self) -> tuple[Matter, ...]:
        return self.of(WATCH)


def today_page(*, at: datetime) -> TodayPage:
    """Everything for the day of `at`, most pressing first."""
    today = timezone.localtime(at).date()
    lines = side_lines(sides_on_rail(), on=today)
    plan = accepted_plan()
    rows = _rows(plan)
    matters = [
        *_cooler(at), *_sides(lines, today), *_planned(rows, today), *_block(today), *_orders(plan, today),
        *_packs(at, today), *_faces(lines, today), *_plan(plan, rows, lines, today),
    ]  # fmt: skip
    order = {NOW: 0, SOON: 1, WATCH: 2}
    matters.sort(key=lambda one: order[one.urgency])
    ready = sum(line.state == "ready" for line in lines)
    return TodayPage(tuple(matters), len(lines), ready, plan, _against(rows, today))


def _rows(plan: Plan | None) -> list[PlannedSide]:
    """The sides of a plan, each with its animal and with its cutting where there is one."""
    if plan is None:
        return []
    return list(PlannedSide.objects.filter(plan=plan).select_related("side__animal", "side__cutting"))


def _cooler(at: datetime) -> Iterator[Matter]:
    for one in rooms_now(at=at, days=COOLER_DAYS):
        if one.out_of_line:
            yield Matter(NOW, "cooler_out", "cooler", None, {"room": one.room.name, "air_c": one.air_c})
        if one.is_due:
            yield Matter(NOW, "cooler_due", "read_cooler", one.room.pk, {"room": one.room.name})


def _sides(lines: tuple[SideLine, ...], today: date) -> Iterator[Matter]:
    for line in lines:
        if line.state == "late" and line.window is not None:
            days = (today - line.window.latest).days
            yield Matter(NOW, "side_late", "side", line.side.pk, {"side": line.name, "days": days})
    for line in lines:
        if (
            line.window is not None
            and line.state == "ready"
            and line.window.latest - today <= timedelta(days=1)
        ):
            yield Matter(
                SOON, "side_last_day", "side", line.side.pk, {"side": line.name, "day": line.window.latest}
            )


def _planned(rows: list[PlannedSide], today: date) -> Iterator[Matter]:
    """Sides whose planned day is today or past and that still hang."""
    for row in sorted(rows, key=lambda one: (one.day or date.max, str(one.side))):
        if row.day is None or row.day > today or row.side.state != SideState.HANGING:
            continue
        what = "cut_today" if row.day == today else "cut_missed"
        yield Matter(NOW, what, "begin_cutting", row.side_id, {"side": str(row.side), "day": row.day})


def _block(today: date) -> Iterator[Matter]:
    for cutting in (
        Cutting.objects.filter(ended_at=None).select_related("side", "side__animal").order_by("begun_at")
    ):
        begun = timezone.localtime(cutting.begun_at).date()
        about = {"side": str(cutting.side), "day": begun}
        yield Matter(NOW if begun < today else WATCH, "block_open", "cutting", cutting.pk, about)


def _orders(plan: Plan | None, today: date) -> Iterator[Matter]:
    """Promises that are past, or near and not covered by the plan."""
    rows = Order.objects.filter(state=OrderState.OPEN, by_day__lte=today + timedelta(days=ORDERS_AHEAD_DAYS))
    filled_kg = filled_by_plan(plan)
    for order in rows.order_by("by_day", "pk"):
        about = {"code": order.code, "day": order.by_day, "slug": order.slug, "weight_kg": order.weight_kg}
        if order.by_day < today:
            yield Matter(NOW, "order_past", "order", order.pk, about)
        elif order.must and filled_kg.get(order.code, 0.0) < float(order.weight_kg) - 0.01:
            given = {**about, "filled_kg": filled_kg.get(order.code, 0.0)}
            yield Matter(SOON, "order_at_risk", "order", order.pk, given)


def filled_by_plan(plan: Plan | None) -> dict[str, float]:
    """Order code to what the plan gives it [kg]."""
    found = planned(plan) if plan is not None else None
    if found is None:
        return {}
    week, result = found
    filled: dict[str, float] = {}
    for one in result.filled:
        code = week.orders[one.order].id
        filled[code] = filled.get(code, 0.0) + one.kg
    return filled


def _packs(at: datetime, today: date) -> Iterator[Matter]:
    """Trim that grows old and packs past their date, as far as nothing has happened to them."""
    trims = [slug for slug, cut in shipped_cuts().items() if cut.lean_pct is not None]
    places = [place for place in Place.values if place != Place.FREEZER]
    old = OnHand.objects.filter(place__in=places, slug__in=trims, pack__at__lt=at - timedelta(days=TRIM_DAYS))
    told = old.aggregate(count=Count("pk"), kg=Sum("net_kg"))
    if told["count"]:
        yield Matter(SOON, "trim_old", "stock", None, {"count": told["count"], "weight_kg": told["kg"]})
    past = OnHand.objects.filter(use_by__lt=today).count()
    if past:
        yield Matter(NOW, "packs_past", "stock", None, {"count": past})


def _faces(lines: tuple[SideLine, ...], today: date) -> Iterator[Matter]:
    for line in lines:
        if line.has_face or line.window is None:
            continue
        if line.window.earliest - today <= timedelta(days=FACE_WANTED_DAYS):
            yield Matter(WATCH, "face_missing", "ribface", line.side.pk, {"side": line.name})


def _plan(
    plan: Plan | None, rows: list[PlannedSide], lines: tuple[SideLine, ...], today: date
) -> Iterator[Matter]:
    if not lines:
        return
    if plan is None:
        yield Matter(SOON, "plan_missing", "plan")
    elif plan.start_on + timedelta(days=plan.days - 1) < today:
        yield Matter(SOON, "plan_over", "plan", None, {"day": plan.start_on + timedelta(days=plan.days - 1)})
    else:
        known = {row.side_id for row in rows}
        new = [line.name for line in lines if line.side.pk not in known]
        if new:
            yield Matter(SOON, "plan_without", "plan", None, {"sides": ", ".join(new)})


def _against(rows: list[PlannedSide], today: date) -> tuple[PlanAgainstActual, ...]:
    """The plan's days up to today beside what was done."""
    due = [row for row in rows if row.day and today - timedelta(days=PLAN_LOOK_BACK_DAYS) <= row.day <= today]
    return tuple(
        _beside(row, row.day, getattr(row.side, "cutting", None))
        for row in sorted(due, key=lambda one: (one.day or today, str(one.side)))
        if row.day is not None
    )


def _beside(row: PlannedSide, day: date, cutting: Cutting | None) -> PlanAgainstActual:
    cut_on = timezone.localtime(cutting.begun_at).date() if cutting else None
    begun_kg = float(cutting.begun_kg) if cutting else None
    return PlanAgainstActual(str(row.side), day, cut_on, row.weight_kg, begun_kg)
