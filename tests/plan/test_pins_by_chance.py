"""Sides settled by chance, again and again: nothing hangs twice, nothing is lost, every side keeps its own name."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.plan import Pin, PlanResult, SidePlan, Week
from gambrel.plan.pinned import as_named, own_side_id, with_pins
from gambrel.plan.result import DayUse
from gambrel.plan.week import Hanging

Read = Callable[[str], Week]

NAMES = ("C1", "C+1", "C2")
SIDES = tuple(f"{name}-{half}" for name in NAMES for half in ("left", "right"))
PINS = st.builds(
    Pin,
    st.none() | st.sampled_from([date(2026, 3, 9), date(2026, 3, 11)]),
    st.dictionaries(
        st.sampled_from(["forequarter", "hindquarter"]), st.sampled_from(["boneless", "bone-in"])
    ),
)
SETTLED = st.dictionaries(st.sampled_from(SIDES), PINS)


@pytest.fixture(scope="module")
def three(read: Read) -> Week:
    """Three steers of which the third is settled for a day already."""
    steer = ('[[animal]]\nid = "{}"\nkind = "grain-finished"\nsex = "steer"\nhot_left = "{}kg"\nhot_right = "181kg"\n'
             "killed = 2026-02-27\n")  # fmt: skip
    text = "".join(steer.format(name, 170 + number) for number, name in enumerate(NAMES))
    shop = "[shop]\nstart = 2026-03-09\ndays = 14\n"
    demand = '[[demand]]\ncut = "top-round"\nsteps = [{ upto = "9kg", price = "9/kg" }]\n'
    return read(shop + demand + text + "pin = { day = 2026-03-13 }\n")


def hung(week: Week) -> dict[str, tuple[float, Pin]]:
    """Weight and settlement of each side by its own name."""
    return {
        own_side_id(one, half): (kg, one.pin) for one in week.animals for half, kg in one.side_hot_kg.items()
    }


def side_plan(hanging: Hanging, half: str, kg: float) -> SidePlan:
    return SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, date(2026, 3, 9), kg, {})


def planned(week: Week) -> PlanResult:
    """A plan that names sides as that week does; their hot weights stand in for what they weigh."""
    sides = tuple(side_plan(one, half, kg) for one in week.animals for half, kg in one.side_hot_kg.items())
    day = DayUse(date(2026, 3, 9), True, tuple(one.id for one in sides), {}, {}, 0.0, None, 0.0)
    return PlanResult("optimal", 0, 0.0, 0.0, sides=sides, days=(day,))


@settings(max_examples=150, deadline=None)
@given(rounds=st.lists(SETTLED, max_size=3))
def test_settling_keeps_every_side_its_weight_and_the_last_word(
    rounds: list[dict[str, Pin]], three: Week
) -> None:
    week = three
    wanted = {name: pin for name, (_, pin) in hung(three).items()}
    for pins in rounds:
        week = with_pins(week, pins)
        wanted |= pins
    now, before = hung(week), hung(three)
    assert {name: kg for name, (kg, _) in now.items()} == {name: kg for name, (kg, _) in before.items()}
    assert {name: pin for name, (_, pin) in now.items()} == wanted
    assert len({one.id for one in week.animals}) == len(week.animals)
    assert sum(len(one.side_hot_kg) for one in week.animals) == len(SIDES)


@settings(max_examples=150, deadline=None)
@given(pins=SETTLED)
def test_a_plan_of_it_speaks_of_the_sides_by_their_own_names(pins: dict[str, Pin], three: Week) -> None:
    week = with_pins(three, pins)
    named = as_named(planned(week), week)
    assert {one.id for one in named.sides} == set(SIDES)
    assert all(one.id == f"{one.animal}-{one.half}" and one.animal in NAMES for one in named.sides)
    assert set(named.days[0].sides) == set(SIDES)
    assert {one.id: one.weight_kg for one in named.sides} == {
        name: kg for name, (kg, _) in hung(three).items()
    }


@settings(max_examples=60, deadline=None)
@given(pins=SETTLED)
def test_settling_twice_the_same_changes_nothing_more(pins: dict[str, Pin], three: Week) -> None:
    once = with_pins(three, pins)
    assert with_pins(once, pins) == once


def test_a_name_that_hangs_nowhere_settles_nothing(three: Week) -> None:
    assert with_pins(three, {"Z9-left": Pin(date(2026, 3, 9)), "C1": Pin(date(2026, 3, 9))}) == three
