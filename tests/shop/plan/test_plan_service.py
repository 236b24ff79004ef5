"""Plans asked for, solved, stopped, accepted and settled, as records."""

from __future__ import annotations

import threading
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest

from gambrel.measures import CannotDo, Finding
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Order,
    Person,
    PinnedSide,
    Plan,
    PlannedSide,
    PlanState,
    ShopProfile,
    Side,
    SideState,
)  # fmt: skip
from gambrel.shop.records.selectors.plan import accepted_plan, plan_page, planned
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.week import week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def first_side_tomorrow(week: Week, **asked: Any) -> PlanResult:
    """A solver that cuts every side on the second day, boneless, and earns a hundred dollars."""
    sides = tuple(
        SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, week.shop.start + timedelta(days=1),
                 150.0, {"rib-primal": "boneless"})
        for hanging in week.animals for half in hanging.side_hot_kg
    )  # fmt: skip
    return PlanResult("optimal", 10_000, 0.0, 0.1, Money(counter_cents=10_000), sides=sides)


def owner() -> Person:
    return Person.objects.get(role="owner")


def asked(days: int = 14, seconds: float = 5) -> Plan:
    return service.ask(ShopProfile.objects.get(), start=today(), days=days, seconds=seconds, by=owner())


def test_a_plan_keeps_what_it_started_from() -> None:
    plan = asked()
    assert plan.state == PlanState.WAITING
    assert plan.week["seconds"] == 5
    service.solve(plan.pk, solver=first_side_tomorrow)
    found = planned(Plan.objects.get(pk=plan.pk))
    assert found is not None
    assert found[0] == week_of(ShopProfile.objects.get(), start=today(), days=14)


def test_a_solved_plan_is_written_side_by_side() -> None:
    plan = service.solve(asked().pk, solver=first_side_tomorrow)
    assert (plan.state, plan.profit_cents, plan.bound_cents) == (PlanState.DONE, 10_000, 10_000)
    hanging = Side.objects.filter(state=SideState.HANGING).count()
    rows = PlannedSide.objects.filter(plan=plan)
    assert rows.count() == hanging > 0
    assert {row.day for row in rows} == {today() + timedelta(days=1)}
    assert {str(row.side) for row in rows} == {str(side) for side in Side.objects.filter(state="hanging")}


def test_only_one_plan_at_a_time() -> None:
    asked()
    with pytest.raises(CannotDo) as refusal:
        asked()
    assert refusal.value.findings[0].wanted == "one plan at a time"


def test_an_empty_rail_is_said() -> None:
    Side.objects.update(state=SideState.GONE)
    with pytest.raises(CannotDo) as refusal:
        asked()
    assert refusal.value.findings[0].given == "no side on the rail"


def test_clashing_promises_are_kept_as_findings() -> None:
    clash = Finding("order 17", "11.6 kg", "40.0 kg", "Ask for less.")

    def none(week: Week, **asked: Any) -> PlanResult:
        return PlanResult("no-plan", 0, float("inf"), 0.1, findings=(clash,))

    plan = service.solve(asked().pk, solver=none)
    page = plan_page(plan, at=now())
    assert (plan.state, page.findings, page.money) == (PlanState.NO_PLAN, (clash,), None)


def test_a_slip_in_the_records_is_kept_as_a_finding() -> None:
    slip = Finding("animal B1", "pinned on a closed day", "a cutting day", "Change the day.")

    def refuse(week: Week, **asked: Any) -> PlanResult:
        raise CannotDo([slip])

    plan = service.solve(asked().pk, solver=refuse)
    assert plan_page(plan, at=now()).findings == (slip,)


def test_a_solver_that_breaks_leaves_a_failed_plan_and_says_so() -> None:
    def breaks(week: Week, **asked: Any) -> PlanResult:
        raise RuntimeError("the plan does not hold")

    plan = asked()
    with pytest.raises(RuntimeError):
        service.solve(plan.pk, solver=breaks)
    assert Plan.objects.get(pk=plan.pk).state == PlanState.FAILED


def test_a_stopped_plan_stays_stopped_whatever_the_solver_finds() -> None:
    plan = asked()

    def stopped_meanwhile(week: Week, **given: Any) -> PlanResult:
        assert service.stop(plan, by=owner())
        return first_side_tomorrow(week)

    after = service.solve(plan.pk, solver=stopped_meanwhile)
    assert after.state == PlanState.STOPPED
    assert not PlannedSide.objects.filter(plan=plan).exists()
    assert not service.stop(plan, by=owner()), "stopping twice changes nothing"


def test_a_silent_solver_is_taken_for_ended() -> None:
    plan = asked()
    assert service.tell_ended() == 0
    Plan.objects.filter(pk=plan.pk).update(beat_at=now() - timedelta(seconds=service.SILENT_SECONDS + 1))
    assert service.tell_ended() == 1
    assert Plan.objects.get(pk=plan.pk).state == PlanState.STOPPED


def test_a_plan_that_was_stopped_before_it_began_is_not_solved() -> None:
    plan = asked()
    service.stop(plan, by=owner())

    def never(week: Week, **given: Any) -> PlanResult:
        raise AssertionError("solved all the same")

    assert service.solve(plan.pk, solver=never).state == PlanState.STOPPED


def test_the_newest_accepted_plan_is_the_one_to_work_by() -> None:
    first = service.solve(asked().pk, solver=first_side_tomorrow)
    service.accept(first, by=owner())
    second = service.solve(asked().pk, solver=first_side_tomorrow)
    assert accepted_plan() == first, "a plan counts only when a person accepts it"
    service.accept(second, by=owner())
    assert accepted_plan() == second
    verbs = AuditLine.objects.filter(record="plan", record_id=str(second.pk)).values_list("what", flat=True)
    assert list(verbs.order_by("pk")) == ["asked for a plan", "accepted a plan"]


def test_a_plan_that_is_not_done_cannot_be_accepted() -> None:
    with pytest.raises(CannotDo):
        service.accept(asked(), by=owner())


def test_both_hanging_sides_of_an_animal_are_settled_together() -> None:
    side = Side.objects.filter(state=SideState.HANGING).first()
    assert side is not None
    day = today() + timedelta(days=3)
    service.pin(side, day=day, ways={"rib-primal": "boneless"}, by=owner(), why="the smoker is free")
    pins = PinnedSide.objects.filter(side__animal=side.animal)
    assert {(pin.day, pin.ways["rib-primal"]) for pin in pins} == {(day, "boneless")}
    week = week_of(ShopProfile.objects.get(), start=today(), days=14)
    hanging = next(one for one in week.animals if one.id == side.animal.tag)
    assert (hanging.pin.day, dict(hanging.pin.ways)) == (day, {"rib-primal": "boneless"})
    service.pin(side, day=None, ways={}, by=owner())
    assert not PinnedSide.objects.filter(side__animal=side.animal).exists()
    assert AuditLine.objects.filter(record="side", record_id=str(side.pk), why="the smoker is free").exists()


def test_the_plan_before_is_laid_beside() -> None:
    first = service.solve(asked().pk, solver=first_side_tomorrow)
    service.accept(first, by=owner())

    def later(week: Week, **given: Any) -> PlanResult:
        result = first_side_tomorrow(week)
        moved = replace(result.sides[0], day=week.shop.start + timedelta(days=4))
        turned = replace(result.sides[1], ways={"rib-primal": "bone-in"})
        return replace(result, sides=(moved, turned, *result.sides[2:]), money=Money(counter_cents=12_500),
                       bound_cents=12_500)  # fmt: skip

    page = plan_page(service.solve(asked().pk, solver=later), at=now())
    assert page.gain_cents == 2_500
    changed = {line.side: line for line in page.lines if line.changed}
    assert len(changed) == 2
    assert sorted(line.ways_changed for line in changed.values()) == [(), ("rib-primal",)]


def test_promises_show_what_the_plan_gives() -> None:
    plan = service.solve(asked().pk, solver=first_side_tomorrow)
    page = plan_page(plan, at=now())
    assert {line.code for line in page.promises} == set(
        Order.objects.filter(by_day__range=(today(), today() + timedelta(days=13))).values_list(
            "code", flat=True
        )
    )
    assert all(line.filled_kg == 0 and line.is_short for line in page.promises)


def test_the_watcher_leaves_when_somebody_stops_the_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    plan = asked()
    service.stop(plan, by=owner())
    monkeypatch.setattr(service, "BEAT_SECONDS", 0.0)
    monkeypatch.setattr(service.connection, "close", lambda: None)
    left: list[bool] = []
    service.keep_alive(plan.pk, threading.Event(), lambda: left.append(True))
    assert left == [True]


def test_a_week_of_the_records_is_solved_by_the_real_planner() -> None:
    Side.objects.exclude(animal__tag__in=["B1", "C1"]).update(state=SideState.GONE)
    Order.objects.all().delete()
    plan = service.solve(asked(days=10, seconds=20).pk)
    assert plan.state == PlanState.DONE
    assert plan.bound_cents >= plan.profit_cents > 0
    assert set(PlannedSide.objects.filter(plan=plan).values_list("side__animal__tag", flat=True)) == {
        "B1",
        "C1",
    }
    assert all(row.day is None or row.day >= date.min for row in PlannedSide.objects.filter(plan=plan))


def test_the_smallest_set_that_clashes_is_named_with_what_gives_way_least() -> None:
    """A minute of knife work a day cuts nothing on any day: the hours alone are named, not the day that is settled."""
    shop = ShopProfile.objects.get()
    shop.minutes_a_day = {"knife": 1}
    shop.save()
    first = Side.objects.filter(state=SideState.HANGING).order_by("pk").first()
    assert first is not None
    Side.objects.filter(state=SideState.HANGING).exclude(animal=first.animal).update(state=SideState.GONE)
    Order.objects.all().delete()
    day = next(
        today() + timedelta(days=number) for number in range(1, 8)
        if f"{today() + timedelta(days=number):%a}".lower() in shop.cutting_days
    )  # fmt: skip
    for side in first.animal.sides.all():
        PinnedSide.objects.create(side=side, day=day, ways={}, at=now())
    plan = service.solve(service.ask(shop, start=today(), days=10, seconds=10, by=owner()).pk)
    assert plan.state == PlanState.NO_PLAN
    told = {finding["where"]: finding["given"] for finding in plan.answer["findings"]}
    assert any(where.startswith("knife hours on") for where in told), "by how much"
    assert told["hours knife"] == "0.0 h of knife work on a cutting day"
    assert not any("settled" in given or "rail" in given for given in told.values())


def test_a_plan_that_only_ran_out_of_time_names_no_clash() -> None:
    def late(week: Week, **asked: Any) -> PlanResult:
        return PlanResult(
            "time-limit", 0, float("inf"), 1.0, findings=(Finding("the plan", "1 s", "time", "Wait."),)
        )

    plan = service.solve(asked().pk, solver=late)
    assert plan.state == PlanState.NO_PLAN
    assert [finding["where"] for finding in plan.answer["findings"]] == ["the plan"]


@pytest.mark.parametrize(("a_side_more", "stays"), [(499, True), (501, False)])
def test_a_side_is_changed_only_where_that_pays(a_side_more: int, stays: bool) -> None:
    """Each side cut a day later than in the accepted plan earns so many cents more: from $5 on a change pays."""
    shop = ShopProfile.objects.get()
    shop.cutting_days = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
    shop.save()
    Side.objects.filter(state=SideState.HANGING).exclude(animal__tag="C1").update(state=SideState.GONE)
    Animal.objects.filter(tag="C1").update(killed_on=today() - timedelta(days=14))  # ready these days
    first = service.solve(asked().pk, solver=first_side_tomorrow)
    service.accept(first, by=owner())
    later = today() + timedelta(days=2)

    def a_day_later(week: Week, **asked: Any) -> PlanResult:
        sides = tuple(
            SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, hanging.pin.day or later, 150.0,
                     {"rib-primal": "boneless"})
            for hanging in week.animals for half in hanging.side_hot_kg
        )  # fmt: skip
        cents = 10_000 + a_side_more * sum(side.day == later for side in sides)
        return PlanResult("optimal", cents, 0.0, 0.1, Money(counter_cents=cents), sides=sides)

    plan = service.solve(
        service.ask(shop, start=today(), days=14, seconds=5, by=owner()).pk, solver=a_day_later
    )
    days = {side["day"] for side in plan.answer["plan"]["sides"]}
    told = [
        finding for finding in plan.answer["findings"] if finding["where"] == "sides as in the plan before"
    ]
    assert days == {(today() + timedelta(days=1) if stays else later).isoformat()}
    assert bool(told) == stays
    if stays:
        assert told[0]["given"] == "C1-left, C1-right"
        assert told[0]["do"] == "They stay as they were. The best plan found earns $9.98 more."
