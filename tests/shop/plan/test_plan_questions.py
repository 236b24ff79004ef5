"""Questions asked of a plan: put, answered, kept, and how the plan itself is looked into."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from gambrel.measures import CannotDo, Finding
from gambrel.plan import Progress, solve_week
from gambrel.plan.pinned import own_side_id
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    AuditLine,
    Order,
    Person,
    Plan,
    PlanQuestion,
    PlanState,
    ShopProfile,
    Side,
    SideState,
)  # fmt: skip
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.services import plan_questions as questions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def by_the_rib(week: Week, **asked: Any) -> PlanResult:
    """Every side cut on its settled day or the second, the rib as settled or boneless, which earns $10 a side."""
    sides = tuple(
        SidePlan(own_side_id(hanging, half), hanging.id.split("+")[0], half, hanging.kind.slug,
                 hanging.pin.day or week.shop.start + timedelta(days=1), 150.0,
                 {"rib-primal": hanging.pin.ways.get("rib-primal", "boneless")})
        for hanging in week.animals for half in hanging.side_hot_kg
    )  # fmt: skip
    cents = 10_000 + sum(1_000 for side in sides if side.ways["rib-primal"] == "boneless")
    return PlanResult("optimal", cents, 0.0, 0.1, Money(counter_cents=cents), sides=sides)


def owner() -> Person:
    return Person.objects.get(role="owner")


def ask(**more: Any) -> Plan:
    return service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=owner(), **more)


@pytest.fixture
def plan() -> Plan:
    return service.solve(ask().pk, solver=by_the_rib)


def cattle_side() -> str:
    side = Side.objects.filter(state=SideState.HANGING, animal__tag__startswith="C").first()
    assert side is not None
    return str(side)


def test_another_way_is_worked_out_and_kept(plan: Plan) -> None:
    asked = {"side": cattle_side(), "piece": "rib-primal", "way": "bone-in"}
    question = questions.put(plan, "way", asked, by=owner())
    assert question.state == PlanState.WAITING
    done = questions.answer(question.pk, solver=by_the_rib)
    assert done.state == PlanState.DONE
    assert done.answer["worth"]["cents"] == -1_000, "only that side goes the other way"
    (change,) = done.answer["changes"]["sides"]
    assert (change["side"], change["ways"]) == (asked["side"], [{"piece": "rib-primal", "before": "boneless",
                                                                 "after": "bone-in"}])  # fmt: skip


def test_another_day_is_worked_out(plan: Plan) -> None:
    day = today() + timedelta(days=3)
    question = questions.put(plan, "day", {"side": cattle_side(), "day": day.isoformat()}, by=owner())
    done = questions.answer(question.pk, solver=by_the_rib)
    assert done.answer["changes"]["sides"][0]["day_after"] == day.isoformat()
    assert done.answer["worth"]["cents"] == 0


def test_one_more_of_each_is_worked_out_with_a_side_of_each_kind_on_the_rail(plan: Plan) -> None:
    done = questions.answer(questions.put(plan, "more", {}, by=owner()).pk, solver=by_the_rib)
    more = done.answer["more"]
    kinds = {
        side.animal.kind for side in Side.objects.filter(state=SideState.HANGING).select_related("animal")
    }
    assert {one["of"] for one in more if one["what"] == "side"} == kinds
    # The stub's plan earns $10.00 a boneless side, and nothing for hours or rail.
    assert {one["worth"]["cents"] for one in more if one["what"] == "side"} == {1_000}
    assert {one["worth"]["cents"] for one in more if one["what"] != "side"} == {0}


def test_the_same_question_is_not_worked_out_twice(plan: Plan) -> None:
    first = questions.put(plan, "more", {}, by=owner())
    assert questions.put(plan, "more", {}, by=owner()) == first
    questions.answer(first.pk, solver=by_the_rib)
    assert questions.put(plan, "more", {}, by=owner()) == first


def test_one_question_at_a_time(plan: Plan) -> None:
    questions.put(plan, "more", {}, by=owner())
    with pytest.raises(CannotDo) as refusal:
        questions.put(plan, "day", {"side": cattle_side(), "day": today().isoformat()}, by=owner())
    assert refusal.value.findings[0].wanted == "one question at a time"


def test_a_question_of_a_plan_that_is_not_done_is_refused() -> None:
    with pytest.raises(CannotDo):
        questions.put(ask(), "more", {}, by=owner())


def test_a_plan_is_asked_only_so_often(plan: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(questions, "MOST_ASKED", 1)
    questions.answer(questions.put(plan, "more", {}, by=owner()).pk, solver=by_the_rib)
    with pytest.raises(CannotDo):
        questions.put(plan, "day", {"side": cattle_side(), "day": today().isoformat()}, by=owner())


def test_what_cannot_be_is_an_answer_with_findings(plan: Plan) -> None:
    clash = Finding("order 17", "11.6 kg", "40.0 kg", "Ask for less.")

    def none(week: Week, **asked: Any) -> PlanResult:
        return PlanResult("no-plan", 0, float("inf"), 0.1, findings=(clash,))

    question = questions.put(plan, "day", {"side": cattle_side(), "day": today().isoformat()}, by=owner())
    done = questions.answer(question.pk, solver=none)
    assert (done.state, done.answer["worth"]) == (PlanState.DONE, None)
    assert done.answer["findings"] == [clash.as_json()]


def test_a_side_that_is_not_in_the_plan_is_an_answer_with_a_finding(plan: Plan) -> None:
    question = questions.put(plan, "day", {"side": "Z9-left", "day": today().isoformat()}, by=owner())
    done = questions.answer(question.pk, solver=by_the_rib)
    assert done.answer["findings"][0]["given"] == "Z9-left"


def test_an_answer_that_breaks_is_said_to_have_failed(plan: Plan) -> None:
    def breaks(week: Week, **asked: Any) -> PlanResult:
        raise RuntimeError("the plan does not hold")

    question = questions.put(plan, "more", {}, by=owner())
    with pytest.raises(RuntimeError):
        questions.answer(question.pk, solver=breaks)
    assert PlanQuestion.objects.get().state == PlanState.FAILED
    assert questions.put(plan, "more", {}, by=owner()) != question, "it may be asked again"


def test_a_silent_answer_is_taken_for_ended_and_may_be_asked_again(plan: Plan) -> None:
    question = questions.put(plan, "more", {}, by=owner())
    PlanQuestion.objects.update(beat_at=now() - timedelta(seconds=service.SILENT_SECONDS + 1))
    assert questions.put(plan, "more", {}, by=owner()) != question
    assert PlanQuestion.objects.get(pk=question.pk).state == PlanState.STOPPED


def test_a_done_plan_is_tried_on_draws(plan: Plan) -> None:
    tried = plan.answer["tried"]
    assert tried["draws"] == sum(tried["bars"])
    low, middle, high = tried["profit_cents"]
    assert low <= middle <= high
    assert "safety" not in plan.answer and "since" not in plan.answer


def test_how_far_it_is_is_written_down_while_it_goes_on() -> None:
    plan = ask()
    seen: list[tuple[int | None, int | None]] = []

    def watched(week: Week, **asked: Any) -> PlanResult:
        if "progress" in asked:
            asked["progress"](Progress(seconds=1.0, profit_cents=9_000, bound_cents=12_000))
            row = Plan.objects.get(pk=plan.pk)
            seen.append((row.profit_cents, row.bound_cents))
        return by_the_rib(week)

    done = service.solve(plan.pk, solver=watched)
    assert seen == [(9_000, 12_000)]
    assert done.profit_cents == by_the_rib(questions.restored(Week, plan.week["week"])).profit_cents


def test_a_plan_that_ends_without_one_shows_no_money_of_its_way_there() -> None:
    plan = ask()

    def none(week: Week, **asked: Any) -> PlanResult:
        if "progress" in asked:  # what clashes is then looked for without any
            asked["progress"](Progress(seconds=1.0, profit_cents=None, bound_cents=12_000))
        return PlanResult("no-plan", 0, float("inf"), 0.1)

    assert service.solve(plan.pk, solver=none).bound_cents is None


def test_the_best_so_far_may_be_taken_once_there_is_one(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = ask()
    assert not service.take_best(plan, by=owner()), "nothing is there yet"
    Plan.objects.filter(pk=plan.pk).update(state=PlanState.SOLVING, profit_cents=9_000)
    assert service.take_best(plan, by=owner())
    assert AuditLine.objects.filter(what="took the best so far of a plan").exists()
    monkeypatch.setattr(service, "BEAT_SECONDS", 0.0)
    monkeypatch.setattr(service.connection, "close", lambda: None)
    enough = threading.Event()

    class EndsWhenEnough(threading.Event):
        def wait(self, timeout: float | None = None) -> bool:
            return enough.is_set()

    service.keep_alive(plan.pk, EndsWhenEnough(), lambda: None, enough)
    assert enough.is_set()


def test_the_plan_after_an_accepted_one_says_what_changed_and_what_going_back_costs(plan: Plan) -> None:
    service.accept(plan, by=owner())

    def bone_in(week: Week, **asked: Any) -> PlanResult:
        """Bone-in unless settled, and settled boneless earns $10.00 a side less."""
        found = by_the_rib(week)
        sides = tuple(
            side if any(h.pin.ways for h in week.animals if side.animal == h.id.split("+")[0])
            else replace(side, ways={"rib-primal": "bone-in"}) for side in found.sides
        )  # fmt: skip
        cents = 90_000 - 1_000 * sum(side.ways["rib-primal"] == "boneless" for side in sides)
        return replace(found, sides=sides, money=Money(counter_cents=cents), bound_cents=cents)

    ShopProfile.objects.update(wage_cents_per_hour=ShopProfile.objects.get().wage_cents_per_hour + 100)
    second = service.solve(ask().pk, solver=bone_in)
    since = second.answer["since"]
    assert since["before"] == plan.pk
    assert [one["of"] for one in since["week"]] == ["wages"]
    sides = len(since["back"]["sides"])
    assert sides == Side.objects.filter(state=SideState.HANGING).count()
    assert since["back"]["worth"]["cents"] == -1_000 * sides


def test_a_safety_setting_is_kept_and_tried_on_fresh_draws() -> None:
    Side.objects.exclude(animal__tag__in=["B1", "C1"]).update(state=SideState.GONE)
    Order.objects.all().delete()
    plan = service.solve(ask(safety_share=0.9).pk, solver=solve_week)
    assert plan.state == PlanState.DONE, plan.answer
    assert plan.answer["safety"]["share"] == 0.9
    assert plan.answer["safety"]["findings"] == [], "without orders every promise holds"
    assert plan.answer["tried"]["profit_cents"][0] < plan.answer["tried"]["profit_cents"][2]
