"""What a plan started from and answered comes back from JSON as it was, to the last digit."""

from __future__ import annotations

import json
import math
import tomllib
from dataclasses import dataclass
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import Entry, Finding, Findings
from gambrel.plan.example import example_week
from gambrel.plan.read_week import read_week
from gambrel.plan.result import Binding, DayUse, Money, PlanResult, Sale, SidePlan
from gambrel.plan.week import Pin, Step, Week
from gambrel.shop.records.stored import plain, restored


def there_and_back(kind: type, value: object) -> object:
    return restored(kind, json.loads(json.dumps(plain(value), allow_nan=False)))


def test_a_whole_week_comes_back() -> None:
    week = read_week(Entry(tomllib.loads(example_week(sides=6, days=10, seed=3)), "", Findings()))
    assert there_and_back(Week, week) == week


def test_an_answer_comes_back_with_its_infinity() -> None:
    day = date(2026, 3, 9)
    answer = PlanResult(
        status="time-limit",
        bound_cents=10,
        gap=math.inf,
        seconds=1.5,
        money=Money(counter_cents=3, wages_cents=-2),
        sides=(SidePlan("B1-left", "B1", "left", "bison", None, 150.25, {"chuck-square-cut": "boneless"}),),
        sales=(Sale(0, 1, 2, 4.5, 1999.9, 9000),),
        days=(DayUse(day, True, ("B1-left",), {"knife": 30.0}, {}, 1.2, None, 0.0),),
        binding=(Binding("hours", "one hour", 1234.5),),
        findings=(Finding("a", "b", "c", "d"),),
    )
    back = there_and_back(PlanResult, answer)
    assert back == answer
    assert isinstance(back, PlanResult) and back.gap == math.inf and back.days[0].day == day


@given(st.floats(allow_nan=False), st.floats(allow_nan=False))
def test_every_figure_comes_back_to_the_last_digit(upto_kg: float, price: float) -> None:
    step = Step(upto_kg, price)
    assert there_and_back(Step, step) == step


@given(st.none() | st.dates(), st.dictionaries(st.text(max_size=8), st.text(max_size=8), max_size=4))
def test_what_is_settled_comes_back(day: date | None, ways: dict[str, str]) -> None:
    assert there_and_back(Pin, Pin(day, ways)) == Pin(day, ways)


def test_a_set_of_kinds_comes_back_in_any_order() -> None:
    @dataclass(frozen=True)
    class Buyer:
        kinds: frozenset[str]
        hang_days: tuple[int, int, int] | None = None

    globals()["Buyer"] = Buyer
    for buyer in (Buyer(frozenset({"wagyu", "bison"})), Buyer(frozenset(), (7, 14, 21))):
        assert there_and_back(Buyer, buyer) == buyer


def test_what_is_not_known_is_refused_and_not_kept_as_text() -> None:
    with pytest.raises(TypeError, match="complex cannot be kept"):
        plain({"weight": 3 + 4j})
