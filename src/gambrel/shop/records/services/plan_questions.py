"""Questions asked of a done plan, answered by planning anew in a process of their own."""

from __future__ import annotations

import subprocess
import threading
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django.db import transaction

from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo, Finding
from gambrel.plan.pinned import with_pins
from gambrel.plan.questions.relax import eased, extra_side
from gambrel.plan.questions.why import Solver, WhyNot, side_named, why_not_day, why_not_way
from gambrel.plan.result import PlanResult
from gambrel.plan.solve import solve_week
from gambrel.plan.week import Pin, Week
from gambrel.shop.clock import now
from gambrel.shop.records.models import Person, Plan, PlanQuestion, PlanState
from gambrel.shop.records.plan_yields import models_for
from gambrel.shop.records.services.plan import BUSY, SILENT_SECONDS, apart, keep_beating
from gambrel.shop.records.services.plan_checks import solver_of
from gambrel.shop.records.stored import plain, restored

MOST_ASKED = 60
"""So many questions of one plan are kept and no more are taken: each is a plan of its own."""


@transaction.atomic
def put(plan: Plan, what: str, asked: dict[str, str], *, by: Person | None) -> PlanQuestion:
    """A question of a done plan; the same asked again is the one that is there. `CannotDo` while one is worked out."""
    tell_ended_questions()
    same = PlanQuestion.objects.filter(plan=plan, what=what, asked=asked).exclude(
        state__in=(PlanState.STOPPED, PlanState.FAILED)
    )
    if (there := same.first()) is not None:
        return there
    if plan.state != PlanState.DONE:
        raise CannotDo([Finding(str(plan), plan.state, "a plan that is done", "Wait until it is.")])
    if PlanQuestion.objects.filter(state__in=BUSY).exists():
        raise CannotDo([Finding("question", "a second one at the same time", "one question at a time",
                                "Wait for the one that is being worked out.")])  # fmt: skip
    if PlanQuestion.objects.filter(plan=plan).count() >= MOST_ASKED:
        raise CannotDo([Finding("question", f"more than {MOST_ASKED} of one plan", "fewer",
                                "Plan again and ask of the new plan.")])  # fmt: skip
    return PlanQuestion.objects.create(
        plan=plan, what=what, asked=asked, asked_at=now(), asked_by=by, beat_at=now()
    )


def answer_apart(question: PlanQuestion) -> subprocess.Popen[bytes]:
    """Answer in a process of its own, so that pages go on answering."""
    return apart("--question", str(question.pk))


def answer(question_id: int, *, solver: Callable[..., PlanResult] = solve_week) -> PlanQuestion:
    """Work out the answer and keep it; a week that cannot be met that way is an answer too."""
    PlanQuestion.objects.filter(pk=question_id, state=PlanState.WAITING).update(state=PlanState.SOLVING)
    question = PlanQuestion.objects.select_related("plan").get(pk=question_id)
    if question.state != PlanState.SOLVING:
        return question
    plan = question.plan
    pins = restored(dict[str, Pin], plan.week.get("pins", {}))
    week = with_pins(restored(Week, plan.week["week"]), pins)
    result = restored(PlanResult, plan.answer["plan"])
    solve = solver_of(
        solver, {}, models_for(plan.week), seconds=float(plan.week["seconds"]), start=result.sides
    )  # what is settled is in the week already
    try:
        found = _answer(question, week, result, solve)
    except CannotDo as refusal:
        found = {"findings": plain(tuple(refusal.findings))}
    except Exception:
        PlanQuestion.objects.filter(pk=question_id).update(state=PlanState.FAILED)
        raise
    PlanQuestion.objects.filter(pk=question_id).update(state=PlanState.DONE, answer=found)
    return PlanQuestion.objects.get(pk=question_id)


def _answer(question: PlanQuestion, week: Week, plan: PlanResult, solve: Solver) -> dict[str, Any]:
    asked = question.asked
    if question.what == PlanQuestion.What.MORE:
        kinds = sorted({hanging.kind.slug for hanging in week.animals if hanging.is_sold})
        more = (*eased(week, plan, solve), *(extra_side(week, plan, kind, solve) for kind in kinds))
        return {"more": plain(more)}
    side_named(week, asked["side"])
    if question.what == PlanQuestion.What.DAY:
        return _why(
            why_not_day(week, plan, side=asked["side"], day=date.fromisoformat(asked["day"]), solve=solve)
        )
    return _why(why_not_way(week, plan, side=asked["side"], piece=asked["piece"], way=asked["way"],
                            tree=shipped_tree(), solve=solve))  # fmt: skip


def _why(found: WhyNot) -> dict[str, Any]:
    """The answer without the other plan itself, which nobody works by."""
    return {"worth": plain(found.worth), "changes": plain(found.changes), "route": plain(found.route),
            "findings": plain(found.findings)}  # fmt: skip


def keep_question_alive(question_id: int, ended: threading.Event) -> None:
    """Says once a second that whoever answers it lives."""

    def beat() -> bool:
        PlanQuestion.objects.filter(pk=question_id, state=PlanState.SOLVING).update(beat_at=now())
        return True

    keep_beating(ended, beat)


def tell_ended_questions() -> int:
    """Questions whose solver fell silent are said to be stopped, so that they can be asked again."""
    silent = now() - timedelta(seconds=SILENT_SECONDS)
    return PlanQuestion.objects.filter(state__in=BUSY, beat_at__lt=silent).update(state=PlanState.STOPPED)
