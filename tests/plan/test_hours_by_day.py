"""Hours by day, overtime, blocks and saws: worked by hand on a side whose day and ways are settled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo, Findings
from gambrel.plan import PlanResult, Week
from gambrel.plan.check import BadPlan, check_plan
from gambrel.plan.questions.clash_set import promises_of, smallest_clash
from gambrel.plan.questions.relax import easings
from gambrel.plan.questions.week_changes import week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.shares import book_shares
from gambrel.plan.sides import side_groups
from gambrel.plan.tell import to_json

Read = Callable[[str], Week]


def friday(read: Read, parts: dict[str, str], more: str) -> Week:
    """One side, boneless on Friday the 13th: knife 0.5 x 40 + 0.48 x 45 = 41.6 minutes for 100 kg of side."""
    shop = parts["shop"].replace(
        'per_hour = "$24.00"\n', 'per_hour = "$24.00"\novertime_per_hour = "$36.00"\n'
    )
    return read(shop + more + parts["steer"] + parts["settled"] + parts["counter"])


def knife_minutes(plan: PlanResult) -> float:
    (side,) = plan.sides
    return side.weight_kg * (0.50 * 40.0 + 0.48 * 45.0) / 100.0


def test_overtime_costs_what_it_costs_more(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """Half an hour of knife, the rest over: (36 - 24) / 60 = 20 cents a minute above the wage."""
    roomy = solve(friday(read, parts, ""))
    plan = solve(friday(read, parts, '[hours]\nknife = "30min"\n[overtime]\nknife = "2h"\n'))
    over = knife_minutes(plan) - 30.0
    assert 30.0 < over < 60.0
    (row,) = [day for day in plan.days if day.sides]
    assert dict(row.overtime) == {"knife": pytest.approx(over)}
    assert plan.money.overtime_cents == pytest.approx(-over * 20.0, abs=0.5)
    assert plan.money.wages_cents == roomy.money.wages_cents
    assert plan.profit_cents == pytest.approx(roomy.profit_cents - over * 20.0, abs=2)
    told = to_json(friday(read, parts, ""), plan)
    assert told["money_cents"]["overtime"] == plan.money.overtime_cents
    assert [day["overtime_min"] for day in told["days"] if day["overtime_min"]] == [{"knife": round(over, 2)}]


def test_overtime_has_an_end(read: Read, parts: dict[str, str], solve: Solver) -> None:
    text = '[hours]\nknife = "30min"\n[overtime]\nknife = "{}min"\n'
    needed = knife_minutes(solve(friday(read, parts, ""))) - 30.0
    assert solve(friday(read, parts, text.format(round(needed) + 1))).has_plan
    short = solve(friday(read, parts, text.format(round(needed) - 2)))
    assert short.status == "no-plan"
    assert any("knife hours on Fri 2026-03-13" in finding.where for finding in short.findings)


@pytest.mark.parametrize(
    ("hours", "fits"),
    [
        ('[hours]\nknife = "30min"\n', False),
        ('[hours]\nknife = "30min"\n[hours.on.fri]\nknife = "2h"\n', True),
        ('[hours]\nknife = "30min"\n[hours.on.mon]\nknife = "2h"\n', False),
        ('[hours.on.fri]\nknife = "30min"\n[hours.on.2026-03-13]\nknife = "2h"\n', True),
        ('[hours]\nknife = "9h"\n[hours.on.2026-03-13]\nknife = "0h"\n', False),
        ('[room]\nopen = "70min"\nknife = 1\n', False),
        ('[room]\nopen = "70min"\nknife = 2\n', True),
        ('[room]\nopen = "8h"\nsaw = 0\n', False),
    ],
)
def test_a_day_has_its_own_hours_and_places(
    hours: str, fits: bool, read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Some 72 minutes of knife and 7 of saw are needed that Friday."""
    assert 70.0 < knife_minutes(solve(friday(read, parts, ""))) < 75.0
    assert solve(friday(read, parts, hours)).has_plan == fits


def closed_friday(text: str) -> str:
    """The shop of these tests with nothing cut on the two Fridays of the plan."""
    return text.replace("days = 14\n", "days = 14\nclosed = [2026-03-20, 2026-03-13]\n", 1)


def test_nothing_is_cut_on_a_day_that_is_closed(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """A steer killed on 27 February hangs 14 days or more: of its days the Fridays of the 13th and 20th are left out,
    although overtime is allowed on them; the plan takes a Monday or Wednesday instead."""
    more = '[hours]\nknife = "9h"\n[overtime]\nknife = "9h"\n'
    text = parts["shop"] + more + parts["steer"] + parts["counter"]
    week = read(closed_friday(text))
    assert week.shop.closed_on == (date(2026, 3, 13), date(2026, 3, 20))
    (group,) = side_groups(week, Findings())
    assert {day for one in side_groups(read(text), Findings()) for day in one.days} - set(group.days) == {
        date(2026, 3, 13), date(2026, 3, 20)}  # fmt: skip
    plan = solve(week)
    assert plan.has_plan and all(side.day not in week.shop.closed_on for side in plan.sides)
    (friday_row,) = [row for row in plan.days if row.day == date(2026, 3, 13)]
    assert not friday_row.cutting and not friday_row.limits


def test_a_side_that_is_settled_for_a_closed_day_is_told(read: Read, parts: dict[str, str]) -> None:
    text = parts["shop"] + parts["steer"] + parts["settled"] + parts["counter"]
    findings = Findings()
    side_groups(read(closed_friday(text)), findings)
    assert any("a cutting day of the plan" in one.wanted and one.given == "2026-03-13" for one in findings)


def test_the_check_finds_a_side_that_is_cut_on_a_closed_day(
    read: Read, parts: dict[str, str], solve: Solver, small_tree: Tree
) -> None:
    week = friday(read, parts, "")
    plan = solve(week)
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    closed = replace(week, shop=replace(week.shop, closed_on=(date(2026, 3, 13),)))
    with pytest.raises(BadPlan, match="cut on a cutting day"):
        check_plan(closed, small_tree, shares, plan)


def test_overtime_ends_where_the_blocks_do(read: Read, parts: dict[str, str], solve: Solver) -> None:
    text = '[hours]\nknife = "30min"\n[overtime]\nknife = "3h"\n[room]\nopen = "65min"\nknife = 1\n'
    found = solve(friday(read, parts, text))
    assert found.status == "no-plan"
    assert any("blocks on Fri" in finding.where for finding in found.findings)


def test_blocks_are_a_promise_that_may_give_way(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = friday(read, parts, '[hours.on.fri]\nknife = "3h"\n[room]\nopen = "65min"\nknife = 1\n')
    assert {one.what for one in promises_of(week)} >= {"hours", "places", "settled"}
    clash = smallest_clash(week, solve)
    assert {one.what for one in clash} == {"places", "settled"}
    for one in clash:
        assert solve(one.given_way(week)).has_plan
    eased = {one.what: one for one in easings(week, solve(friday(read, parts, "")))}
    assert solve(eased["places"].week).has_plan and not solve(eased["hours"].week).has_plan
    assert eased["hours"].week.shop.minutes_on == {"fri": {"knife": 240.0}}


def test_the_check_adds_the_overtime_up_again(
    read: Read, parts: dict[str, str], solve: Solver, small_tree: Tree
) -> None:
    week = friday(read, parts, '[hours]\nknife = "30min"\n[overtime]\nknife = "2h"\n')
    plan = solve(week)
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    check_plan(week, small_tree, shares, plan)
    cheap = replace(plan, money=replace(plan.money, overtime_cents=0))
    with pytest.raises(BadPlan, match="overtime"):
        check_plan(week, small_tree, shares, cheap)
    for shop in (replace(week.shop, overtime=replace(week.shop.overtime, minutes_a_day={})),
                 friday(read, parts, '[room]\nopen = "65min"\nknife = 1\n').shop):  # fmt: skip
        with pytest.raises(BadPlan, match="knife on 2026-03-13"):
            check_plan(replace(week, shop=shop), small_tree, shares, plan)


def test_what_changed_in_the_hours_is_told(read: Read, parts: dict[str, str]) -> None:
    before = friday(read, parts, '[hours]\nknife = "8h"\n')
    after = friday(read, parts, '[hours]\nknife = "8h"\n[hours.on.sat]\nknife = "4h"\n[overtime]\nknife = "1h"\n'
                   '[room]\nopen = "9h"\nsaw = 2\n')  # fmt: skip
    told = {change.of: change.after for change in week_changes(before, after)}
    assert told == {"knife on sat": "4.0 h", "knife, overtime": "1.0 h a day at $36.00 an hour",
                    "saws": "2 for 9.0 h a day"}  # fmt: skip
    closed = replace(before, shop=replace(before.shop, closed_on=(date(2026, 3, 13), date(2026, 12, 25))))
    (told_day,) = week_changes(before, closed)
    assert (told_day.what, told_day.of, told_day.before, told_day.after) == (
        "days",
        "closed",
        None,
        "2026-03-13",
    )


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        ('[overtime]\nknife = "1h"\n', "knife"),
        ('[hours]\nknife = "8h"\n[overtime]\nknife = "-1h"\n', "knife"),
        ('[hours.on.someday]\nknife = "1h"\n', "on"),
        ('[hours.on.2026-02-30]\nknife = "1h"\n', "on"),
        ('[hours.on.sat]\nblade = "1h"\n', "blade"),
        ("[room]\nknife = 2\n", "open"),
        ('[room]\nopen = "25h"\n', "open"),
        ('[room]\nopen = "8h"\nknife = 1.5\n', "knife"),
        ('[room]\nopen = "8h"\nsaw = -1\n', "saw"),
        ('[hours]\nknife = "8h"\non = 3\n', "on"),
    ],
)
def test_hours_that_cannot_be_are_found(more: str, wrong: str, read: Read, parts: dict[str, str]) -> None:
    with pytest.raises(CannotDo) as refused:
        friday(read, parts, more)
    assert any(finding.where.endswith(wrong) for finding in refused.value.findings), refused.value.findings


def test_overtime_is_never_cheaper_than_the_hour(read: Read, parts: dict[str, str]) -> None:
    shop = parts["shop"].replace(
        'per_hour = "$24.00"\n', 'per_hour = "$24.00"\novertime_per_hour = "$20.00"\n'
    )
    with pytest.raises(CannotDo) as refused:
        read(shop + parts["steer"])
    assert [finding.given for finding in refused.value.findings] == ["$20.00"]
    usual = read(parts["shop"] + parts["steer"]).shop.overtime
    assert usual.wage_cents_per_hour == 3600.0
