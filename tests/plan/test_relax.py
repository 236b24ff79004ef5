"""What one unit more is worth, against the eased week planned apart."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from gambrel.measures import CannotDo
from gambrel.plan import PlanResult, Week
from gambrel.plan.questions.relax import Eased, eased, easings, extra_side, with_extra_side
from gambrel.plan.questions.why import Solver

Read = Callable[[str], Week]

TIGHT = '[hours]\nknife = "20min"\npacker = "9h"\n'
ORDER = """
[[order]]
id = "17"
cut = "short-ribs"
kind = "grain-finished"
weight = "20kg"
by = 2026-03-16
price = "1.00/kg"
"""


def by_name(found: tuple[Eased, ...]) -> dict[tuple[str, str], Eased]:
    return {(one.what, one.of): one for one in found}


def test_an_hour_more_is_worth_what_the_longer_day_earns(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    pinned = parts["steer"] + "pin = { day = 2026-03-13 }\n"
    week = read(parts["shop"] + TIGHT + pinned + parts["counter"])
    longer = read(parts["shop"] + TIGHT.replace("20min", "80min") + pinned + parts["counter"])
    plan = solve(week)
    found = by_name(eased(week, plan, solve, only=("hours",)))
    packer = found["hours", "packer"].worth
    assert packer is not None and packer.cents == 0, "the packer has hours left over"
    worth = found["hours", "knife"].worth
    assert worth is not None and worth.cents == solve(longer).profit_cents - plan.profit_cents > 0
    assert found["hours", "knife"].sentence == "one hour more of knife work on each cutting day"


def test_work_without_a_limit_is_not_asked_about(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    assert not [one for one in easings(week, solve(week)) if one.what == "hours"]


def test_a_metre_more_lets_a_side_wait_for_a_better_day(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Chuck roll of one week sells out; two sides over two weeks earn more, but the rail holds only one."""
    shop = parts["shop"].replace('rail = "6m"', 'rail = "1.2m"')
    second = parts["steer"].replace("C1", "C2").replace("2026-02-27", "2026-03-12") + 'sides = ["left"]\n'
    week = read(shop + parts["steer"] + second + parts["counter"])
    plan = solve(week)
    found = by_name(eased(week, plan, solve, only=("rail",)))
    wider = read(shop.replace("1.2m", "2.2m") + parts["steer"] + second + parts["counter"])
    worth = found["rail", "rail"].worth
    assert worth is not None and worth.cents == max(0, solve(wider).profit_cents - plan.profit_cents)


def test_a_rail_with_room_is_not_asked_about(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    assert not [one for one in easings(week, solve(week)) if one.what == "rail"]


def test_every_closed_weekday_is_tried_once(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    days = [one.of for one in easings(week, solve(week)) if one.what == "day"]
    assert days == ["tue", "thu", "sat", "sun"]


def test_a_day_longer_is_asked_for_a_side_cut_on_its_last(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Killed on 27 February with 10, 12 and 14 days: Monday 9, Wednesday 11 and Friday 13 March are open to it."""
    steer = parts["steer"] + "hang_days = [13, 14, 14]\n"
    week = read(parts["shop"] + steer + parts["counter"])
    plan = solve(week)
    assert {side.day.isoformat() for side in plan.sides if side.day} == {"2026-03-13"}
    (longer,) = [one for one in easings(week, plan) if one.what == "hang"]
    assert longer.week.animals[0].hang_days == (13, 14, 15)
    assert longer.sentence == "C1 may hang one day longer"


def test_a_kilogram_less_of_a_poor_promise_is_worth_its_better_price(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    """Short ribs promised at $1.00 sell at $22.00 over the counter: a kilogram less brings at least $21.00."""
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + ORDER)
    worth = by_name(eased(week, solve(week), solve, only=("promise",)))["promise", "17"].worth
    assert worth is not None and worth.cents >= 2098


def test_easing_is_never_worth_less_than_nothing(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + TIGHT + parts["steer"] + parts["counter"] + ORDER)
    for one in eased(week, solve(week), solve):
        assert one.worth is not None and one.worth.cents >= 0, one.sentence
        assert one.worth.low_cents <= one.worth.cents <= one.worth.high_cents


def test_dearest_first(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + TIGHT + parts["steer"] + parts["counter"] + ORDER)
    cents = [one.worth.cents for one in eased(week, solve(week), solve) if one.worth]
    assert cents == sorted(cents, reverse=True)


def test_an_extra_side_is_of_the_usual_make_and_ready_on_the_first_cutting_day(
    read: Read, parts: dict[str, str]
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    kind = week.kinds["grain-finished"]
    extra = with_extra_side(week, kind).animals[-1]
    assert extra.side_hot_kg == {"left": kind.hot_kg.mean / 2}
    assert (week.shop.start - extra.killed).days == kind.hang_days[1]
    assert extra.bill is None, "what it costs is not in what it earns"


def test_an_extra_side_earns_what_the_week_with_it_earns_more(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    plan = solve(week)
    found = extra_side(week, plan, "grain-finished", solve)
    more = solve(with_extra_side(week, week.kinds["grain-finished"]))
    assert found.worth is not None and found.worth.cents == more.profit_cents - plan.profit_cents
    # Nobody buys bison here but for top round and tallow, which anyone may sell: it earns less.
    bison = extra_side(week, plan, "bison", solve)
    assert bison.worth is not None and bison.worth.cents < found.worth.cents


def test_an_extra_side_that_does_not_fit_says_why(read: Read, parts: dict[str, str], solve: Solver) -> None:
    shop = parts["shop"].replace('rail = "6m"', 'rail = "1.2m"')
    week = read(shop + parts["steer"] + parts["counter"])
    found = extra_side(week, solve(week), "grain-finished", solve)
    assert found.worth is None
    assert found.findings[0].where == "metres of rail on Mon 2026-03-09"


def test_an_unknown_kind_is_a_finding(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    with pytest.raises(CannotDo):
        extra_side(week, PlanResult("optimal", 0, 0.0, 0.0), "ostrich", solve)


def test_a_promise_of_a_kilogram_is_not_made_nothing(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"] + ORDER)
    small = replace(week, orders=(replace(week.orders[0], weight_kg=1.0),))
    assert not [one for one in easings(small, solve(small)) if one.what == "promise"]
