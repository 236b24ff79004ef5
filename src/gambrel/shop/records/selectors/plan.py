"""What the plan pages show: the plan the shop works by, the newest one, and what the two do differently."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import lru_cache
from uuid import UUID

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.files.drawing.week import week_pages
from gambrel.files.sheets.pdf_out import plan_pdf
from gambrel.files.shop_sheets import plan_sheet, week_plan
from gambrel.files.speech import language
from gambrel.journey import Journey, forecast_on_rail, sides_on_rail
from gambrel.measures import Finding
from gambrel.plan.result import DayUse, Money, PlanResult
from gambrel.plan.shares import ModelSource
from gambrel.plan.week import Week
from gambrel.price.week_prices import WeekPrices, price_week
from gambrel.shop.records.models import PinnedSide, Plan, PlanState, SideState
from gambrel.shop.records.named_sides import sides_of_animals
from gambrel.shop.records.plan_yields import known_when, models_for
from gambrel.shop.records.selectors.plan_answers import Checks, More, checks_of, more_of
from gambrel.shop.records.services.plan import BUSY
from gambrel.shop.records.shop_yields import Taught
from gambrel.shop.records.stored import restored
from gambrel.shop.records.yields_said import yields_said

SHEET_DRAWS = 1000


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One side in a plan: when and how it is cut, what a person settled for it, what the plan before said."""

    side: str
    side_pk: int | None
    kind: str
    day: date | None
    weight_kg: float
    ways: tuple[tuple[str, str], ...]
    pinned: date | None
    pinned_ways: tuple[tuple[str, str], ...]
    day_before: date | None
    was_planned: bool
    ways_changed: tuple[str, ...]

    @property
    def changed(self) -> bool:
        return self.was_planned and (self.day != self.day_before or bool(self.ways_changed))


@dataclass(frozen=True, slots=True)
class PromiseLine:
    code: str
    name: str
    by_day: date
    wanted_kg: float
    filled_kg: float
    must: bool
    kept_share: float | None

    @property
    def is_short(self) -> bool:
        return self.filled_kg < self.wanted_kg - 0.01


@dataclass(frozen=True, slots=True)
class PlanPage:
    """One plan. Without a result only its state and findings mean anything."""

    plan: Plan
    busy: bool
    seconds: float
    limit_s: float
    findings: tuple[Finding, ...]
    money: Money | None = None
    lines: tuple[PlanLine, ...] = ()
    days: tuple[DayUse, ...] = ()
    freezer_kg: tuple[float, ...] = ()
    promises: tuple[PromiseLine, ...] = ()
    binding: tuple[tuple[str, str, float], ...] = ()
    pictures: tuple[str, ...] = ()
    before: Plan | None = None
    checks: Checks | None = None
    more: More | None = None
    known: Taught | None = None

    @property
    def gap_share(self) -> float | None:
        """How far the best so far may be from the best there is, while it is worked out; None before."""
        profit, bound = self.plan.profit_cents, self.plan.bound_cents
        return (bound - profit) / profit if profit and bound is not None else None

    @property
    def gain_cents(self) -> int | None:
        """What it earns more than the plan before; None where there is none to compare with."""
        if self.before is None or self.before.profit_cents is None or self.plan.profit_cents is None:
            return None
        return self.plan.profit_cents - self.before.profit_cents


def newest_plan() -> Plan | None:
    return Plan.objects.defer("week", "answer").order_by("-asked_at", "-pk").first()


def accepted_plan() -> Plan | None:
    """The plan that the shop works by."""
    return (
        Plan.objects.filter(accepted_at__isnull=False)
        .defer("week", "answer")
        .order_by("-accepted_at", "-pk")
        .first()
    )


def recent_plans(count: int = 12) -> list[Plan]:
    return list(
        Plan.objects.defer("week", "answer").select_related("asked_by").order_by("-asked_at", "-pk")[:count]
    )


def planned(plan: Plan) -> tuple[Week, PlanResult] | None:
    """What a done plan started from and answered; kept in memory, since a done plan never changes."""
    return planned_by(plan.key) if plan.state == PlanState.DONE else None


@lru_cache(maxsize=8)
def planned_by(key: UUID) -> tuple[Week, PlanResult]:
    """The same, of a plan that is known to be done."""
    row = Plan.objects.get(key=key)
    return restored(Week, row.week["week"]), restored(PlanResult, row.answer["plan"])


@lru_cache(maxsize=8)
def known_to(key: UUID) -> Taught:
    """What the shop knew of its yields when a plan was asked for."""
    return known_when(Plan.objects.values_list("week", flat=True).get(key=key))


@lru_cache(maxsize=8)
def models_to(key: UUID) -> ModelSource | None:
    """The yields that a plan was worked out by, each animal's by its supplier; None: the book's."""
    return models_for(Plan.objects.values_list("week", flat=True).get(key=key))


@lru_cache(maxsize=4)
def prices_of(key: UUID) -> WeekPrices:
    """Costs and price list of a done plan, kept in memory. `CannotDo` as `price_week`."""
    return price_week(*planned_by(key))


def plan_page(plan: Plan, *, at: datetime) -> PlanPage:
    """All that the page of one plan shows, beside the plan that was accepted before it."""
    kept = (
        Plan.objects.values_list("week", "answer").get(pk=plan.pk) if plan.state != PlanState.DONE else None
    )
    limit_s = float(kept[0].get("seconds", 0)) if kept else 0.0
    seconds = ((plan.finished_at or at) - plan.asked_at).total_seconds()
    found = planned(plan)
    if found is None:
        findings = tuple(restored(Finding, one) for one in (kept[1] if kept else {}).get("findings", ()))
        return PlanPage(plan, plan.state in BUSY, seconds, limit_s, findings)
    week, result = found
    before = _accepted_before(plan)
    return PlanPage(
        plan=plan,
        busy=False,
        seconds=seconds,
        limit_s=limit_s,
        findings=result.findings,
        money=result.money,
        lines=_lines(week, result, before),
        days=result.days,
        freezer_kg=result.freezer if any(result.freezer) else (),
        promises=_promises(week, result, checks_of(plan.key)),
        binding=tuple((one.rule, one.unit, one.worth_cents) for one in result.binding),
        pictures=_pictures(plan.key, language()),
        before=before,
        checks=checks_of(plan.key),
        more=more_of(plan),
        known=known_to(plan.key),
    )


def plan_sheet_pdf(plan: Plan, *, paper: str) -> bytes:
    """The calendar and each day's cut list as a document; every side that is cut is forecast for it."""
    return _sheet_pdf(plan.key, paper, language())


@lru_cache(maxsize=4)
def _sheet_pdf(key: UUID, paper: str, _spoken: str) -> bytes:
    """The document, kept for each language that it is spoken in: half a second goes into its forecasts."""
    week, result = planned_by(key)
    tree, cuts = shipped_tree().trimmed(week.shop.trim), shipped_cuts()
    sides = sides_on_rail(week, result)
    models = models_to(key)
    forecasts = {side.id: forecast_on_rail(side, week, tree=tree, cuts=cuts, draws=SHEET_DRAWS, seed=number,
                                           models=models)
                 for number, side in enumerate(sides) if side.cut_on}  # fmt: skip
    journey = Journey(week, {}, sides, result, forecasts, None, {}, ())
    sheet = plan_sheet(journey, cuts)
    head = replace(sheet.head, edition=yields_said(known_to(key)))
    return plan_pdf(replace(sheet, head=head), paper=paper)


def _accepted_before(plan: Plan) -> Plan | None:
    rows = Plan.objects.filter(accepted_at__isnull=False, pk__lt=plan.pk)
    return rows.defer("week", "answer").order_by("-accepted_at", "-pk").first()


@lru_cache(maxsize=8)
def _pictures(key: UUID, spoken: str) -> tuple[str, ...]:
    """The calendar, kept for each language that it is spoken in."""
    week, result = planned_by(key)
    journey = Journey(week, {}, sides_on_rail(week, result), result, {}, None, {}, ())
    return tuple(week_pages(week_plan(journey)))


def _lines(week: Week, result: PlanResult, before: Plan | None) -> tuple[PlanLine, ...]:
    names = {hanging.id: hanging.kind.name for hanging in week.animals}
    there = sides_of_animals(side.animal for side in result.sides)
    pins = {pin.side_id: pin for pin in PinnedSide.objects.filter(side__state=SideState.HANGING)}
    found = planned(before) if before is not None else None
    was = {side.id: side for side in found[1].sides} if found else {}
    lines = []
    for side in sorted(result.sides, key=lambda one: (one.day or date.max, one.id)):
        row, old = there.get(side.id), was.get(side.id)
        pin = pins.get(row.pk) if row else None
        lines.append(
            PlanLine(
                side=side.id,
                side_pk=row.pk if row and row.state == SideState.HANGING else None,
                kind=names.get(side.animal, side.kind),
                day=side.day,
                weight_kg=side.weight_kg,
                ways=_said(side.ways),
                pinned=pin.day if pin else None,
                pinned_ways=_said(pin.ways) if pin else (),
                day_before=old.day if old else None,
                was_planned=old is not None,
                ways_changed=_changed(old.ways, side.ways) if old else (),
            )
        )
    return tuple(lines)


def _said(ways: Mapping[str, str]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted((piece, way) for piece, way in ways.items()))


def _changed(before: Mapping[str, str], after: Mapping[str, str]) -> tuple[str, ...]:
    """Pieces that are broken another way now, or only in one of the two plans."""
    return tuple(sorted(piece for piece in {*before, *after} if before.get(piece) != after.get(piece)))


def _promises(week: Week, result: PlanResult, checks: Checks) -> tuple[PromiseLine, ...]:
    filled_kg: dict[int, float] = {}
    for one in result.filled:
        filled_kg[one.order] = filled_kg.get(one.order, 0.0) + one.kg
    cuts = shipped_cuts()
    return tuple(
        PromiseLine(order.id, cuts[order.slug].name if order.slug in cuts else order.slug, order.by,
                    order.weight_kg, filled_kg.get(number, 0.0), order.must,
                    checks.kept_share(order.id))
        for number, order in enumerate(week.orders)
    )  # fmt: skip
