"""What the plan pages show beside the plan itself: how it fares on draws, what changed, and what was asked of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import Any
from uuid import UUID

from gambrel.measures import Finding
from gambrel.plan.questions.compare import Comparison
from gambrel.plan.questions.relax import Eased
from gambrel.plan.questions.since import PutBack
from gambrel.plan.questions.tried import Tried
from gambrel.plan.questions.week_changes import WeekChange
from gambrel.plan.questions.why import Worth
from gambrel.shop.records.models import Plan, PlanQuestion, PlanState
from gambrel.shop.records.services.plan import BUSY
from gambrel.shop.records.stored import restored


@dataclass(frozen=True, slots=True)
class Safety:
    """The setting the plan was made with: how often each promise is to hold, what it costs, and what it cannot."""

    aimed_share: float
    costs_cents: int
    reserve_kg: dict[str, float]
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class SinceAccepted:
    """What is different from the week of the plan accepted before, and what going back to that plan costs."""

    week: tuple[WeekChange, ...]
    back: PutBack | None


@dataclass(frozen=True, slots=True)
class Checks:
    """What was looked into when the plan was made; None in plans of a time before it was."""

    tried: Tried | None = None
    safety: Safety | None = None
    since: SinceAccepted | None = None

    def kept_share(self, order: str) -> float | None:
        """In what share of the draws an order holds; None where the plan does not fill it."""
        promises = self.tried.promises if self.tried else ()
        return next((one.kept_share for one in promises if one.order == order), None)


@dataclass(frozen=True, slots=True)
class Asked:
    """A question of the plan with its answer, as far as it has come."""

    pk: int
    side: str
    piece: str
    way: str
    day: date | None
    busy: bool
    failed: bool
    worth: Worth | None
    changes: Comparison | None
    route: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]

    @property
    def lost_cents(self) -> tuple[int, int, int]:
        """What it would cost, as a positive figure: as found, and the least and most that is proven."""
        return (-self.worth.cents, -self.worth.high_cents, -self.worth.low_cents) if self.worth else (0, 0, 0)


@dataclass(frozen=True, slots=True)
class More:
    """What one more of each is worth: not asked yet, being worked out, or worked out."""

    asked: bool = False
    busy: bool = False
    lines: tuple[Eased, ...] = ()


@lru_cache(maxsize=16)
def checks_of(key: UUID) -> Checks:
    """Of a done plan, which never changes."""
    answer = Plan.objects.values_list("answer", flat=True).get(key=key)
    safety, since = answer.get("safety"), answer.get("since")
    return Checks(
        restored(Tried, answer["tried"]) if "tried" in answer else None,
        None if safety is None else Safety(safety["share"], safety["costs_cents"], safety["reserve_kg"],
                                           restored(tuple[Finding, ...], safety["findings"])),
        None if since is None else SinceAccepted(restored(tuple[WeekChange, ...], since["week"]), _back(since["back"])),
    )  # fmt: skip


def _back(told: Any) -> PutBack | None:
    return None if told is None else restored(PutBack, told)


def questions_of(plan: Plan, side: str) -> tuple[Asked, ...]:
    """What was asked of a side, newest first."""
    rows = PlanQuestion.objects.filter(plan_id=plan.pk, what__in=("way", "day"), asked__side=side)
    return tuple(_asked(row) for row in rows.order_by("-asked_at", "-pk"))


def _asked(row: PlanQuestion) -> Asked:
    asked, answer = row.asked, row.answer
    worth, changes = answer.get("worth"), answer.get("changes")
    return Asked(
        pk=row.pk,
        side=asked["side"],
        piece=asked.get("piece", ""),
        way=asked.get("way", ""),
        day=date.fromisoformat(asked["day"]) if "day" in asked else None,
        busy=row.state in BUSY,
        failed=row.state in (PlanState.FAILED, PlanState.STOPPED),
        worth=None if worth is None else restored(Worth, worth),
        changes=None if changes is None else restored(Comparison, changes),
        route=tuple(answer.get("route", {}).items()),
        findings=restored(tuple[Finding, ...], answer.get("findings", [])),
    )


def more_of(plan: Plan) -> More:
    """One hour, metre, day and side more, dearest first; what nobody would pay for is left out."""
    row = PlanQuestion.objects.filter(plan_id=plan.pk, what="more").order_by("-asked_at", "-pk").first()
    if row is None or row.state in (PlanState.FAILED, PlanState.STOPPED):
        return More()
    if row.state in BUSY:
        return More(asked=True, busy=True)
    lines = restored(tuple[Eased, ...], row.answer.get("more", []))
    worth = [one for one in lines if one.worth is None or one.worth.cents != 0 or one.what == "side"]
    return More(True, False, tuple(sorted(worth, key=lambda one: -(one.worth.cents if one.worth else 0))))
