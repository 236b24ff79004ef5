"""Plans: asked for, solved by a process of their own, stopped, accepted; and what a person settles for a side."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from typing import Any

from django.db import connection, transaction

from gambrel.measures import CannotDo, Finding
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.search import Progress
from gambrel.plan.solve import solve_week
from gambrel.plan.week import Pin, Week
from gambrel.shop.clock import now
from gambrel.shop.records.models import (
    Person,
    PinnedSide,
    Plan,
    PlannedSide,
    PlanState,
    ShopProfile,
    Side,
    SideState,
)  # fmt: skip
from gambrel.shop.records.named_sides import sides_of_animals
from gambrel.shop.records.plan_yields import models_for, suppliers_of
from gambrel.shop.records.services.plan_checks import (
    accepted_before,
    clash_found,
    made_safe,
    near_accepted,
    since_accepted,
    solver_of,
)
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.shop_yields import taught
from gambrel.shop.records.stored import plain, restored
from gambrel.shop.records.week import settled_apart, week_of

BUSY = (PlanState.WAITING, PlanState.SOLVING)
SILENT_SECONDS = 30
"""A solver that has given no sign of life for so long has ended without saying so."""

BEAT_SECONDS = 1.0
ENOUGH = "enough"
"""What a person writes into the progress of a plan who takes the best so far."""

LONGEST_DAYS, LONGEST_SECONDS = 60, 3600


def ask(
    shop: ShopProfile, *, start: date, days: int, seconds: float, by: Person | None,
    safety_share: float | None = None,
) -> Plan:  # fmt: skip
    """A plan to be solved, with all that it starts from kept; `CannotDo` while another one is being solved.

    `safety_share`: how often each promise is to hold on draws; None plans for the mean.
    """
    tell_ended()
    with transaction.atomic():
        if Plan.objects.filter(state__in=BUSY).exists():
            raise CannotDo([Finding("plan", "a second one at the same time", "one plan at a time",
                                    "Wait for the one that is being worked out, or stop it.")])  # fmt: skip
        week = week_of(shop, start=start, days=days)
        if not week.animals:
            raise CannotDo([Finding("plan", "no side on the rail", "at least one side",
                                    "Hang an animal first.")])  # fmt: skip
        known = taught(shop)
        plan = Plan.objects.create(
            asked_at=now(), asked_by=by, start_on=start, days=days, beat_at=now(),
            week={"week": plain(week), "pins": plain(settled_apart()), "seconds": seconds,
                  "safety": safety_share, "lesson": known.lesson_id, "edition": known.edition,
                  "suppliers": suppliers_of(one.id for one in week.animals)},
        )  # fmt: skip
        record(by, "asked for a plan", plan, after={"start_on": str(start), "days": days})
    return plan


def solve_apart(plan: Plan) -> subprocess.Popen[bytes]:
    """Solve `plan` in a process of its own, so that pages go on answering; what it finds is in the records."""
    return apart(str(plan.pk))


def apart(*asked: str) -> subprocess.Popen[bytes]:
    """The solver's own process, with what it is asked."""
    return subprocess.Popen(
        [sys.executable, "-m", "gambrel.shop.solving", *asked],
        env={**os.environ, "DJANGO_SETTINGS_MODULE": "gambrel.shop.settings"},
        stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, close_fds=True,
    )  # fmt: skip


def solve(
    plan_id: int, *, solver: Callable[..., PlanResult] = solve_week, enough: Callable[[], bool] | None = None
) -> Plan:
    """Solve a plan that was asked for and keep what came of it, slips and clashes as findings.

    How far it is is written down as it goes on. `enough` is asked often; once it says yes the best so far is kept.
    """
    Plan.objects.filter(pk=plan_id, state=PlanState.WAITING).update(state=PlanState.SOLVING, beat_at=now())
    plan = Plan.objects.get(pk=plan_id)
    if plan.state != PlanState.SOLVING:
        return plan
    pins = restored(dict[str, Pin], plan.week.get("pins", {}))
    week, seconds = restored(Week, plan.week["week"]), float(plan.week["seconds"])
    try:
        models = models_for(plan.week)
        last = _last_sides(plan_id)
        first = solver_of(
            solver, pins, models, seconds=seconds, progress=partial(_write_progress, plan_id), stop=enough,
            start=last,
        )(week)  # fmt: skip
        if not first.has_plan:
            found = (*first.findings, *clash_found(week, first, pins, models, solver, stop=enough))
            return _keep(plan_id, PlanState.NO_PLAN, {"findings": plain(found)})
        again = solver_of(solver, pins, models, seconds=seconds)
        first = near_accepted(week, first, last, again)
        result, checks = made_safe(week, first, plan.week.get("safety"), again, models)
        checks |= since_accepted(plan, week, result, again)
    except CannotDo as refusal:
        return _keep(plan_id, PlanState.NO_PLAN, {"findings": plain(tuple(refusal.findings))})
    except Exception:
        _keep(plan_id, PlanState.FAILED, {})
        raise
    return _keep(
        plan_id, PlanState.DONE, {"plan": plain(result), "findings": plain(result.findings), **checks}, result
    )


def _last_sides(plan_id: int) -> tuple[SidePlan, ...]:
    """The sides of the plan that the shop works by: the next one begins with it."""
    last = accepted_before(plan_id)
    return () if last is None else restored(PlanResult, last.answer["plan"]).sides


def _write_progress(plan_id: int, progress: Progress) -> None:
    """The best plan so far and what is proven, for the page of the plan that is being worked out."""
    Plan.objects.filter(pk=plan_id, state=PlanState.SOLVING).update(
        profit_cents=progress.profit_cents, bound_cents=progress.bound_cents, beat_at=now()
    )


@transaction.atomic
def _keep(plan_id: int, state: str, answer: dict[str, Any], result: PlanResult | None = None) -> Plan:
    plan = Plan.objects.select_for_update().get(pk=plan_id)
    if plan.state == PlanState.STOPPED:
        return plan
    plan.state, plan.answer, plan.finished_at = state, answer, now()
    plan.profit_cents = plan.bound_cents = None
    if result is not None:
        plan.profit_cents, plan.bound_cents, plan.gap_share = (
            result.profit_cents,
            result.bound_cents,
            result.gap,
        )
        sides = sides_of_animals(side.id.rsplit("-", 1)[0] for side in result.sides)
        PlannedSide.objects.bulk_create(
            PlannedSide(
                plan=plan, side=sides[one.id], day=one.day, weight_kg=one.weight_kg, ways=dict(one.ways)
            )
            for one in result.sides
            if one.id in sides
        )
    plan.save()
    return plan


def keep_alive(
    plan_id: int, ended: threading.Event, leave: Callable[[], None], enough: threading.Event | None = None
) -> None:
    """Says once a second that the solver lives; calls `leave` when somebody has stopped it, sets `enough` when
    somebody takes the best so far."""

    def beat() -> bool:
        if enough is not None and Plan.objects.filter(pk=plan_id, progress=ENOUGH).exists():
            enough.set()
        Plan.objects.filter(pk=plan_id, state=PlanState.SOLVING).update(beat_at=now())
        stopped = Plan.objects.filter(pk=plan_id, state=PlanState.STOPPED).exists()
        if stopped:
            leave()
        return not stopped

    keep_beating(ended, beat)


def keep_beating(ended: threading.Event, beat: Callable[[], bool]) -> None:
    """`beat` once a second, in a thread of its own, until the work has `ended` or `beat` says that it is over."""
    try:
        while not ended.wait(BEAT_SECONDS) and beat():
            pass
    finally:
        connection.close()


@transaction.atomic
def stop(plan: Plan, *, by: Person | None) -> bool:
    """Stop a plan that is being worked out; False when it had ended already."""
    stopped = Plan.objects.filter(pk=plan.pk, state__in=BUSY).update(
        state=PlanState.STOPPED, finished_at=now()
    )
    if stopped:
        record(by, "stopped a plan", plan)
    return bool(stopped)


def take_best(plan: Plan, *, by: Person | None) -> bool:
    """Ask the solver for the best plan it has so far; False when there is none yet, or it has ended."""
    asked = Plan.objects.filter(pk=plan.pk, state=PlanState.SOLVING, profit_cents__isnull=False)
    taken = asked.update(progress=ENOUGH)
    if taken:
        record(by, "took the best so far of a plan", plan)
    return bool(taken)


def tell_ended() -> int:
    """Plans whose solver fell silent (the computer was switched off) are said to be stopped; gives their number."""
    silent = now() - timedelta(seconds=SILENT_SECONDS)
    return Plan.objects.filter(state__in=BUSY, beat_at__lt=silent).update(
        state=PlanState.STOPPED, finished_at=now()
    )


@transaction.atomic
def accept(plan: Plan, *, by: Person | None) -> Plan:
    """The shop works by this plan from now on; `CannotDo` for one that is not done."""
    plan = Plan.objects.select_for_update().get(pk=plan.pk)
    if plan.state != PlanState.DONE:
        raise CannotDo([Finding(str(plan), plan.state, "a plan that is done",
                                "Plan again and accept what comes of it.")])  # fmt: skip
    plan.accepted_at, plan.accepted_by = now(), by
    plan.save(update_fields=("accepted_at", "accepted_by"))
    record(by, "accepted a plan", plan, after={"profit_cents": plan.profit_cents})
    return plan


@transaction.atomic
def pin(
    side: Side,
    *,
    day: date | None,
    ways: dict[str, str],
    by: Person | None,
    why: str = "",
    alone: bool = False,
) -> None:
    """Settle the day, or ways, of an animal's hanging sides; with neither, nothing is settled any more.

    `alone` settles this side and leaves its fellow as it is.
    """
    sides = Side.objects.filter(animal=side.animal, state=SideState.HANGING).select_related("animal", "pin")
    sides = sides.filter(pk=side.pk) if alone else sides
    for one in sides:
        before = _pinned(getattr(one, "pin", None))
        if day is None and not ways:
            PinnedSide.objects.filter(side=one).delete()
        else:
            PinnedSide.objects.update_or_create(
                side=one, defaults={"day": day, "ways": ways, "by": by, "at": now()}
            )
        after = {"day": str(day or ""), "ways": ways}
        record(by, "settled" if day or ways else "unsettled", one, before=before, after=after, why=why)


def _pinned(pinned: PinnedSide | None) -> dict[str, Any] | None:
    return None if pinned is None else {"day": str(pinned.day or ""), "ways": pinned.ways}
