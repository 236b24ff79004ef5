"""What the plan's page is made of: lines side by side, promises, pins, the ways that may be settled."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from gambrel.catalog.ways import shipped_tree
from gambrel.plan.result import Binding, Filled, Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Animal, OwnKind, Person, Plan, ShopProfile, Side, SideState
from gambrel.shop.records.selectors.plan import (
    accepted_plan,
    newest_plan,
    plan_page,
    planned,
    recent_plans,
)  # fmt: skip
from gambrel.shop.records.selectors.plan_pins import SETTLED_PIECES, ways_to_settle
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

Solver = Callable[..., PlanResult]


def solver(*, day: int | None = 1, ways: dict[str, str] | None = None, cents: int = 10_000,
           filled: tuple[Filled, ...] = (), binding: tuple[Binding, ...] = ()) -> Solver:  # fmt: skip
    """A planner that cuts every side on one day in one way."""

    def solve(week: Week, **asked: Any) -> PlanResult:
        on = None if day is None else week.shop.start + timedelta(days=day)
        sides = tuple(
            SidePlan(
                one.side_id(half), one.id, half, one.kind.slug, on, 150.0, ways or {"rib-primal": "boneless"}
            )
            for one in week.animals
            for half in one.side_hot_kg
        )
        return PlanResult("optimal", cents + 500, 0.05, 0.1, Money(counter_cents=cents), sides=sides, filled=filled,
                          binding=binding)  # fmt: skip

    return solve


def owner() -> Person:
    return Person.objects.get(role="owner")


def made(one: Solver, *, accepted: bool = False) -> Plan:
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=owner())
    plan = service.solve(plan.pk, solver=one)
    return service.accept(plan, by=owner()) if accepted else plan


def test_without_a_plan_there_is_none() -> None:
    assert (newest_plan(), accepted_plan(), recent_plans()) == (None, None, [])


def test_the_newest_stands_first_and_the_accepted_one_is_told_apart() -> None:
    first = made(solver(), accepted=True)
    second = made(solver())
    assert newest_plan() == second and accepted_plan() == first
    assert recent_plans() == [second, first]


def test_a_plan_that_is_not_done_has_no_answer() -> None:
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=None)
    assert planned(plan) is None
    page = plan_page(plan, at=now())
    assert page.busy and page.limit_s == 5.0 and page.lines == () and page.money is None


def test_a_line_for_every_side_by_day_and_name() -> None:
    page = plan_page(made(solver()), at=now())
    names = [line.side for line in page.lines]
    assert names == sorted(names) and len(names) == Side.objects.filter(state=SideState.HANGING).count()
    assert {line.day for line in page.lines} == {today() + timedelta(days=1)}
    assert all(line.ways == (("rib-primal", "boneless"),) for line in page.lines)


def test_sides_that_hang_on_come_last() -> None:
    def one_hangs_on(week: Week, **asked: Any) -> PlanResult:
        result = solver()(week)
        first = result.sides[0]
        on = SidePlan(first.id, first.animal, first.half, first.kind, None, first.weight_kg, {})
        return PlanResult("optimal", 1, 0.0, 0.1, Money(counter_cents=1), sides=(on, *result.sides[1:]))

    page = plan_page(made(one_hangs_on), at=now())
    assert page.lines[-1].day is None and all(line.day is not None for line in page.lines[:-1])


def test_without_a_plan_before_nothing_is_compared() -> None:
    page = plan_page(made(solver()), at=now())
    assert page.before is None and page.gain_cents is None
    assert not any(line.changed or line.was_planned for line in page.lines)


@pytest.mark.parametrize(
    ("then", "changed", "ways_changed"),
    [
        (solver(), False, ()),
        (solver(day=2), True, ()),
        (solver(day=None), True, ()),
        (solver(ways={"rib-primal": "bone-in"}), True, ("rib-primal",)),
        (solver(ways={"rib-primal": "boneless", "short-loin": "bone-in"}), True, ("short-loin",)),
        (solver(ways={"chuck-roll": "steak"}), True, ("chuck-roll", "rib-primal")),
    ],
    ids=["the same", "a day later", "hangs on", "another way", "one piece more", "other pieces"],
)
def test_what_changed_from_the_plan_before(
    then: Solver, changed: bool, ways_changed: tuple[str, ...]
) -> None:
    made(solver(), accepted=True)
    page = plan_page(made(then), at=now())
    assert {line.changed for line in page.lines} == {changed}
    assert {line.ways_changed for line in page.lines} == {ways_changed}


@pytest.mark.parametrize(("cents", "gain_cents"), [(12_345, 2_345), (10_000, 0), (9_000, -1_000)])
def test_what_it_earns_against_the_plan_before(cents: int, gain_cents: int) -> None:
    made(solver(), accepted=True)
    assert plan_page(made(solver(cents=cents)), at=now()).gain_cents == gain_cents


def test_the_plan_before_is_the_one_that_was_accepted_not_the_one_that_was_tried() -> None:
    worked_by = made(solver(cents=10_000), accepted=True)
    made(solver(cents=99_000))
    page = plan_page(made(solver(cents=11_000)), at=now())
    assert page.before == worked_by and page.gain_cents == 1_000


@pytest.mark.parametrize(
    ("filled", "given_kg", "short"),
    [((), 0.0, True), ((Filled(0, 3.0, 1),), 3.0, True), ((Filled(0, 2.0, 1), Filled(0, 1.5, 1)), 3.5, True),
     ((Filled(0, 10_000.0, 1),), 10_000.0, False)],
    ids=["nothing", "a part", "in two parts", "all"],
)  # fmt: skip
def test_what_a_promise_gets(filled: tuple[Filled, ...], given_kg: float, short: bool) -> None:
    first = plan_page(made(solver(filled=filled)), at=now()).promises[0]
    assert (first.filled_kg, first.is_short) == (given_kg, short)


def test_what_binds_is_shown_as_it_was_said() -> None:
    page = plan_page(made(solver(binding=(Binding("knife hours", "one hour", 432.1),))), at=now())
    assert page.binding == (("knife hours", "one hour", 432.1),)


def test_what_was_settled_stands_beside_its_side() -> None:
    side = Side.objects.get(animal__tag="B1", half="left")
    day = today() + timedelta(days=5)
    service.pin(side, day=day, ways={"rib-primal": "boneless"}, by=None)
    lines = {line.side: line for line in plan_page(made(solver()), at=now()).lines}
    for name in ("B1-left", "B1-right"):
        assert (lines[name].pinned, lines[name].pinned_ways) == (day, (("rib-primal", "boneless"),))
    assert lines["C1-left"].pinned is None


def test_a_side_that_was_cut_since_is_not_to_be_settled_any_more() -> None:
    plan = made(solver())
    Side.objects.filter(animal__tag="B1").update(state=SideState.CUT)
    lines = {line.side: line for line in plan_page(plan, at=now()).lines}
    assert lines["B1-left"].side_pk is None and lines["C1-left"].side_pk is not None


def test_the_page_asks_as_often_however_many_sides() -> None:
    made(solver(), accepted=True)
    plan = made(solver())
    plan_page(plan, at=now())
    with CaptureQueriesContext(connection) as asked:
        plan_page(plan, at=now())
    assert len(asked) <= 8


@pytest.mark.parametrize("tag", ["B1", "C1", "G1", "W1"])
def test_only_lawful_choices_with_a_choice_in_them_are_offered(tag: str) -> None:
    side = Side.objects.select_related("animal").get(animal__tag=tag, half="left")
    species = "bison" if tag.startswith("B") else "cattle"
    choices, initial = ways_to_settle(side, trim="close")
    tree = shipped_tree().trimmed("close")
    assert choices and set(choices) <= set(SETTLED_PIECES)
    for piece, (name, ways) in choices.items():
        assert len(ways) > 1 and name
        assert {way for way, _ in ways} == set(tree.ways_of(piece, species))
    assert initial == {"day": None}


def test_what_was_settled_before_is_filled_in() -> None:
    side = Side.objects.get(animal__tag="C1", half="left")
    service.pin(side, day=date(2026, 3, 20), ways={"rib-primal": "boneless"}, by=None)
    side = Side.objects.select_related("animal", "pin").get(pk=side.pk)
    _, initial = ways_to_settle(side, trim="close")
    assert initial == {"day": date(2026, 3, 20), "way-rib-primal": "boneless"}


def test_a_light_trim_has_ways_of_its_own() -> None:
    side = Side.objects.select_related("animal").get(animal__tag="C1", half="left")
    close, light = (ways_to_settle(side, trim=trim)[0] for trim in ("close", "light"))
    assert sum(len(ways) for _, ways in light.values()) > sum(len(ways) for _, ways in close.values())


def test_a_side_of_the_shops_own_kind_is_settled_like_its_species() -> None:
    OwnKind.objects.create(slug="dairy-cross", fields={"like": "grain-finished", "name": "dairy cross"})
    animal = Animal.objects.create(tag="D1", kind="dairy-cross", sex="steer", killed_on=today())
    side = Side.objects.create(animal=animal, half="left", hot_kg=150, hung_at=now())
    like = Side.objects.select_related("animal").get(animal__tag="C1", half="left")
    assert ways_to_settle(side, trim="close")[0] == ways_to_settle(like, trim="close")[0]
