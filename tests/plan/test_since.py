"""What changed since the last plan, and what going back would cost."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from gambrel.measures import CannotDo, Finding
from gambrel.plan import Pin, Week
from gambrel.plan.pinned import as_named, with_pins
from gambrel.plan.questions.compare import seen
from gambrel.plan.questions.since import read_seen, since_last
from gambrel.plan.questions.week_changes import WeekChange, week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.result import Binding
from gambrel.plan.tell import to_json

Read = Callable[[str], Week]

ORDER = """
[[order]]
id = "17"
cut = "{cut}"
kind = "grain-finished"
weight = "{kg}kg"
by = 2026-03-16
price = "21.00/kg"
"""


@pytest.fixture
def texts(parts: dict[str, str]) -> str:
    return parts["shop"] + parts["steer"] + parts["counter"]


def test_the_same_week_changes_nothing(read: Read, texts: str, solve: Solver) -> None:
    week = read(texts)
    plan = solve(week)
    since = since_last(week, plan, seen(week, plan), solve)
    assert since.changes.is_same and since.all_back is None and since.each_back == ()


def test_dearer_t_bones_turn_the_hindquarters_and_going_back_costs_what_the_pinned_week_earns_less(
    read: Read, texts: str, solve: Solver
) -> None:
    cheap, dear = read(texts.replace("38.00/kg", "1.00/kg")), read(texts.replace("38.00/kg", "90.00/kg"))
    last, plan = solve(cheap), solve(dear)
    since = since_last(dear, plan, seen(cheap, last), solve)
    assert {change.side for change in since.changes.sides} == {"C1-left", "C1-right"}
    (ways,) = {tuple(sorted((one.id, one.day, tuple(one.ways.items())) for one in last.sides))}
    pinned = with_pins(dear, {name: Pin(day, dict(of)) for name, day, of in ways})
    assert since.all_back is not None and since.all_back.worth is not None
    assert since.all_back.worth.cents == solve(pinned).profit_cents - plan.profit_cents < 0
    assert [one.sides for one in since.each_back] == [("C1-left",), ("C1-right",)]


def test_going_back_that_breaks_a_new_promise_names_it(read: Read, texts: str, solve: Solver) -> None:
    before = read(texts)
    last = solve(before)
    promised = "short-ribs" if last.sides[0].ways["forequarter"] == "boneless" else "chuck-roll"
    kg = {"short-ribs": 48, "chuck-roll": 64}[promised]  # nearly all that both forequarters can give
    after = read(texts + ORDER.format(cut=promised, kg=kg))
    since = since_last(after, solve(after), seen(before, last), solve)
    assert since.all_back is not None and since.all_back.worth is None
    assert "order 17" in {finding.where for finding in since.all_back.findings}


def test_a_day_that_has_gone_cannot_be_gone_back_to(read: Read, texts: str, solve: Solver) -> None:
    before = read(texts)
    last = solve(before)
    old = seen(before, replace(last, sides=tuple(replace(one, day=date(2026, 3, 6)) for one in last.sides)))
    since = since_last(before, last, old, solve)
    assert len(since.changes.sides) == 2
    assert since.all_back is None and since.each_back == ()


def test_a_way_that_is_no_longer_there_is_told(read: Read, texts: str, solve: Solver) -> None:
    week = read(texts)
    plan = solve(week)
    odd = tuple(replace(one, ways={**one.ways, "forequarter": "sideways"}) for one in plan.sides)
    since = since_last(week, plan, seen(week, replace(plan, sides=odd)), solve)
    assert since.all_back is not None and since.all_back.worth is None
    assert since.all_back.findings[0].given == "forequarter = sideways"


def test_a_plan_is_read_back_from_its_json(read: Read, texts: str, solve: Solver) -> None:
    week = read(texts)
    plan = solve(week)
    told = json.loads(json.dumps(to_json(week, plan)))
    read_back = read_seen(told, "old.json")
    assert read_back.money == plan.money
    assert {side.id: (side.day, dict(side.ways)) for side in read_back.sides} == {
        side.id: (side.day, dict(side.ways)) for side in plan.sides
    }
    assert since_last(week, plan, read_back, solve).changes.profit_cents == 0


@pytest.mark.parametrize("spoil", [{"sides": None}, {"sides": [{}]}, {"money_cents": {"luck": 3}}])
def test_something_else_than_a_plan_is_a_finding(
    spoil: dict[str, Any], read: Read, texts: str, solve: Solver
) -> None:
    week = read(texts)
    with pytest.raises(CannotDo) as refusal:
        read_seen({**to_json(week, solve(week)), **spoil}, "old.json")
    assert refusal.value.findings[0].where == "old.json"


def test_halves_settled_alike_stay_one_animal_and_otherwise_get_names_of_their_own(
    read: Read, texts: str
) -> None:
    week = read(texts)
    alike = with_pins(week, {"C1-left": Pin(date(2026, 3, 13)), "C1-right": Pin(date(2026, 3, 13))})
    assert [one.id for one in alike.animals] == ["C1"]
    apart = with_pins(week, {"C1-left": Pin(date(2026, 3, 13))})
    assert [(one.id, dict(one.side_hot_kg)) for one in apart.animals] == [
        ("C1+left", {"left": 180.0}), ("C1+right", {"right": 180.0}),
    ]  # fmt: skip


def test_a_side_that_stands_by_itself_already_is_settled_anew_by_its_own_name(read: Read, texts: str) -> None:
    apart = with_pins(read(texts), {"C1-left": Pin(date(2026, 3, 13))})
    again = with_pins(apart, {"C1-left": Pin(date(2026, 3, 16))})
    assert [(one.id, one.pin.day) for one in again.animals] == [
        ("C1+left", date(2026, 3, 16)),
        ("C1+right", None),
    ]


def test_an_animal_whose_name_has_the_sign_in_it_keeps_it(read: Read, texts: str, solve: Solver) -> None:
    week = with_pins(read(texts.replace('"C1"', '"C+1"')), {"C+1-left": Pin(date(2026, 3, 13))})
    assert {side.id for side in as_named(solve(week), week).sides} == {"C+1-left", "C+1-right"}
    assert {side.animal for side in as_named(solve(week), week).sides} == {"C+1"}


def test_names_are_put_right_again_and_the_mass_is_the_same(read: Read, texts: str, solve: Solver) -> None:
    apart = with_pins(read(texts), {"C1-left": Pin(date(2026, 3, 13))})
    found = solve(apart)
    named = as_named(found, apart)
    assert {side.id for side in named.sides} == {"C1-left", "C1-right"}
    assert [side.weight_kg for side in named.sides] == [side.weight_kg for side in found.sides]
    assert {name for day in named.days for name in day.sides} == {"C1-left", "C1-right"}


def test_what_is_told_names_sides_by_their_own_names(read: Read, texts: str, solve: Solver) -> None:
    """A side settled by itself is C1+left while the week is planned; nobody is to read that."""
    apart = with_pins(read(texts), {"C1-left": Pin(date(2026, 3, 13))})
    found = solve(apart)
    told = Finding(
        "C1+left", "C1+left-left on no day", "a day for C1+right", "Ask for another day for C1+left-left."
    )
    binding = Binding("C1+right-right hangs", "day", 0.0)
    named = as_named(replace(found, findings=(told,), binding=(binding,)), apart)
    assert named.findings == (Finding("C1-left", "C1-left on no day", "a day for C1-right",
                                      "Ask for another day for C1-left."),)  # fmt: skip
    assert named.binding == (Binding("C1-right hangs", "day", 0.0),)
    assert as_named(replace(found, findings=(told,)), read(texts)).findings == (told,)


def test_every_difference_of_two_weeks_is_told(read: Read, texts: str, parts: dict[str, str]) -> None:
    before = read(texts + ORDER.format(cut="short-ribs", kg=5))
    shop = parts["shop"].replace('rail = "6m"', 'rail = "4m"').replace('"$24.00"', '"$26.00"')
    second = parts["steer"].replace("C1", "C2") + "pin = { day = 2026-03-13 }\n"
    after = read(shop + '[hours]\nknife = "8h"\n' + parts["steer"] + second
                 + parts["counter"].replace("50.00/kg", "55.00/kg") + ORDER.format(cut="short-ribs", kg=7))  # fmt: skip
    found = {(one.what, one.of): one for one in week_changes(before, after)}
    steaks = ("counter", "strip-steak (grain-finished)")
    named = {("animal", "C2"), ("settled", "C2"), ("promise", "17"), ("hours", "knife"), ("rail", "in all")}
    assert set(found) == named | {steaks, ("money", "wages")}
    assert found["rail", "in all"].sentence() == "rail in all: 4.00 m instead of 6.00 m"
    assert found["hours", "knife"].sentence() == "hours knife is new: 8.0 h a day"
    assert found["promise", "17"].after == ("7.0 kg of short-ribs (grain-finished) by 2026-03-16, at $21.00 a kg, "
                                            "must be met, keeps 5 days")  # fmt: skip
    assert found["animal", "C2"].before is None


def test_what_is_gone_is_told_with_what_it_was() -> None:
    gone = WeekChange("animal", "C2", "bison, 300.0 kg hot", None)
    assert gone.sentence() == "animal C2 is gone (it was bison, 300.0 kg hot)"


def test_the_same_week_has_no_differences(read: Read, texts: str) -> None:
    assert week_changes(read(texts), read(texts)) == ()
