"""The answers to the questions put to a plan: worked out, as JSON, and as lines for people."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from gambrel.catalog.ways import Tree
from gambrel.cli.plan_questions import Questions
from gambrel.measures import Finding
from gambrel.measures.money import show_money
from gambrel.plan.questions.clash_set import Promise
from gambrel.plan.questions.compare import PlanSeen, comparison_sentences
from gambrel.plan.questions.draws import SideSource
from gambrel.plan.questions.near_last import NearLast
from gambrel.plan.questions.relax import Eased, eased, extra_side
from gambrel.plan.questions.safety import SafePlan
from gambrel.plan.questions.since import PutBack, Since, since_last
from gambrel.plan.questions.tried import Tried, try_plan
from gambrel.plan.questions.why import Solver, WhyNot, Worth, why_not_day, why_not_way
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week


@dataclass(frozen=True, slots=True)
class Answers:
    """What was asked and found; empty or None where it was not asked."""

    why: tuple[WhyNot, ...] = ()
    relaxed: tuple[Eased, ...] = ()
    extra: tuple[Eased, ...] = ()
    since: Since | None = None
    tried: Tried | None = None
    safe: SafePlan | None = None
    near: NearLast | None = None


def answer_questions(
    asked: Questions, week: Week, plan: PlanResult, *, tree: Tree, solve: Solver, source: SideSource,
    last: PlanSeen | None, safe: SafePlan | None, near: NearLast | None = None,
) -> Answers:  # fmt: skip
    """Every question answered by planning anew or trying the plan; `CannotDo` when one names what is not there."""
    why = tuple(
        why_not_day(week, plan, side=one.side, day=one.day, solve=solve) if one.day is not None else
        why_not_way(week, plan, side=one.side, piece=one.piece, way=one.way, tree=tree, solve=solve)
        for one in asked.why
    )  # fmt: skip
    tried = safe.tried if safe else None
    if asked.tried and tried is None:
        tried = try_plan(week, plan, source, draws=asked.draws)
    return Answers(
        why=why,
        relaxed=eased(week, plan, solve) if asked.relax else (),
        extra=tuple(extra_side(week, plan, kind, solve) for kind in asked.extra),
        since=None if last is None else since_last(week, plan, last, solve),
        tried=tried,
        safe=safe,
        near=near,
    )


def answers_json(found: Answers) -> dict[str, Any]:
    """Only what was asked, in metric names."""
    told: dict[str, Any] = {}
    if found.why:
        told["why"] = [_why_json(one) for one in found.why]
    if found.relaxed:
        told["relaxed"] = [_eased_json(one) for one in found.relaxed]
    if found.extra:
        told["extra"] = [_eased_json(one) for one in found.extra]
    if found.since is not None:
        back = [found.since.all_back] if found.since.all_back else []
        told["since_last"] = {"profit_cents": found.since.changes.profit_cents,
                              "changes": list(comparison_sentences(found.since.changes)),
                              "going_back": [_back_json(one) for one in back],
                              "one_side_back": [_back_json(one) for one in found.since.each_back]}  # fmt: skip
    if found.near is not None:
        told["kept_as_last"] = {"sides": list(found.near.put_back), "costs_cents": found.near.costs_cents}
    if found.tried is not None:
        told["tried"] = asdict(found.tried)
    if found.safe is not None:
        safe = found.safe
        told["safety"] = {"share": safe.safety_share, "safe": safe.is_safe, "costs_cents": safe.costs_cents,
                          "reserve_kg": safe.reserve_kg,
                          "findings": [one.as_json() for one in safe.findings]}  # fmt: skip
    return told


def clash_json(clash: tuple[Promise, ...]) -> list[dict[str, str]]:
    """The smallest set of promises that clash."""
    return [{"what": one.what, "of": one.of, "promise": one.sentence} for one in clash]


def _why_json(one: WhyNot) -> dict[str, Any]:
    return {"side": one.side, "asked": one.asked, "worth_cents": _worth_json(one.worth), "also": dict(one.route),
            "changes": list(comparison_sentences(one.changes)) if one.changes else [],
            "findings": [finding.as_json() for finding in one.findings]}  # fmt: skip


def _eased_json(one: Eased) -> dict[str, Any]:
    return {"what": one.what, "of": one.of, "eased": one.sentence, "worth_cents": _worth_json(one.worth),
            "findings": [finding.as_json() for finding in one.findings]}  # fmt: skip


def _back_json(one: PutBack) -> dict[str, Any]:
    return {"sides": list(one.sides), "worth_cents": _worth_json(one.worth),
            "findings": [finding.as_json() for finding in one.findings]}  # fmt: skip


def _worth_json(worth: Worth | None) -> dict[str, int] | None:
    return None if worth is None else {"found": worth.cents, "low": worth.low_cents, "high": worth.high_cents}


def answer_lines(found: Answers) -> Iterator[str]:
    """All answers as lines, each part under a heading of its own."""
    for one in found.why:
        yield from _why_lines(one)
    if found.relaxed or found.extra:
        yield from ("", "Planned anew with one more, which would bring:")
        for eased_rule in (*found.relaxed, *found.extra):
            yield f"  {eased_rule.sentence}: {_worth(eased_rule.worth, eased_rule.findings)}"
    if found.near is not None:
        kept = ", ".join(found.near.put_back) or "none"
        yield from (
            "",
            f"Kept as in the last plan: {kept}; the best plan earns {show_money(found.near.costs_cents)} more.",
        )
    if found.since is not None:
        yield from _since_lines(found.since)
    if found.tried is not None:
        yield from _tried_lines(found.tried)
    if found.safe is not None:
        yield from _safe_lines(found.safe)


def _worth(worth: Worth | None, findings: tuple[Finding, ...]) -> str:
    if worth is None:
        return "no plan then" + (f" ({findings[0].sentence()})" if findings else "")
    span = f"between {show_money(worth.low_cents)} and {show_money(worth.high_cents)}"
    return f"{show_money(worth.cents)}" + ("" if worth.low_cents == worth.high_cents else f" ({span})")


def _why_lines(one: WhyNot) -> Iterator[str]:
    said = _worth(one.worth, one.findings)
    answer = said[0].upper() + said[1:] if one.worth is None else f"It would bring {said}"
    yield from ("", f"Why not {one.side}, {one.asked}? {answer}.")
    for piece, way in one.route.items():
        yield f"  for it to come about at all, {piece} goes {way}"
    if one.changes is not None:
        yield from (f"  {line}" for line in comparison_sentences(one.changes))


def _since_lines(since: Since) -> Iterator[str]:
    more = "more" if since.changes.profit_cents >= 0 else "less"
    yield from ("", f"Since the last plan: {show_money(abs(since.changes.profit_cents))} {more}")
    yield from (f"  {line}" for line in comparison_sentences(since.changes))
    if since.all_back is not None:
        yield f"  all of it as it was{_back(since.all_back)}"
    for one in since.each_back:
        yield f"  {', '.join(one.sides)} alone as it was{_back(one)}"


def _back(one: PutBack) -> str:
    return (": " if one.worth is None else " would bring ") + _worth(one.worth, one.findings)


def _tried_lines(tried: Tried) -> Iterator[str]:
    low, middle, high = (show_money(cents) for cents in tried.profit_cents)
    yield ""
    yield f"Tried on {tried.draws} draws of what may come off: {low} in the poorest of twenty,"
    yield f"{middle} in the middle, {high} in the best of twenty."
    for one in tried.promises:
        short = f", short by {one.short_kg:.1f} kg where it is not" if one.kept_share < 1.0 else ""
        yield f"  order {one.order}, {one.wanted_kg:.1f} kg of {one.slug}: kept in {_in_full(one.kept_share)}{short}"
    yield f"  every promise together: kept in {_in_full(tried.all_kept_share)}"
    if tried.run_over_min > 1.0:
        yield f"  the longest day may run over by {tried.run_over_min:.0f} minutes"


def _in_full(share: float) -> str:
    """Whole percents, rounded down: what breaks once in two hundred is not kept in 100 %."""
    return f"{math.floor(100.0 * share + 1e-9)}%"


def _safe_lines(safe: SafePlan) -> Iterator[str]:
    yield from ("", f"Promises kept with probability {safe.safety_share:g}: the mean earns "
                    f"{show_money(safe.costs_cents)} less than without.")  # fmt: skip
    for order, kg in safe.reserve_kg.items():
        yield f"  order {order}: {kg:.1f} kg more of its cut is made than promised"
