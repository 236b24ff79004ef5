"""The week's file: what is read, and everything that is wrong said at once."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from gambrel.measures import CannotDo, Entry, Findings
from gambrel.plan import Week, read_week

Read = Callable[[str], Week]


def test_a_week_is_read_in_metric(read: Read, parts: dict[str, str]) -> None:
    week = read(parts["shop"] + parts["steer"] + parts["counter"])
    (steer,) = week.animals
    assert steer.side_hot_kg == {"left": 180.0, "right": 180.0}
    assert steer.animal.fat_mm == 12.0
    assert week.shop.rail_mm == 6000.0
    assert week.shop.end == date(2026, 3, 22)
    assert week.shop.weeks() == (1, 2)
    roll = week.demands[0]
    assert (roll.slug, roll.group.name, roll.shelf_days) == ("chuck-roll", "grain-finished", 6)
    assert [step.price_cents_per_kg for step in roll.steps] == [2000.0, 1200.0]
    assert week.demands[3].group.name == "any"
    assert week.demands[2].group.kinds == {"grain-finished", "grass-finished", "wagyu"}
    assert week.demands[-1].lean_pct == 80.0


def test_sides_weighed_one_by_one_keep_their_own_weights(read: Read, parts: dict[str, str]) -> None:
    steer = parts["steer"].replace('hot = "360kg"', 'hot_left = "178kg"\nhot_right = "182kg"')
    (animal,) = read(parts["shop"] + steer).animals
    assert animal.side_hot_kg == {"left": 178.0, "right": 182.0}
    assert animal.animal.hot_kg == pytest.approx(360.0)


@pytest.mark.parametrize(
    ("bill", "cents"),
    [
        ('bill = { live = "2.00/lb", live_weight = "1300lb" }', 260_000.0),
        ('bill = { rail = "10.00/kg" }', 360_000.0),
        ('bill = { head = "$4,200.00" }\nkill_fee = "$125.00"', 432_500.0),
        ('bill = { raised = "$1,900.00" }', 190_000.0),
    ],
)
def test_a_bill_comes_to_what_was_paid(bill: str, cents: float, read: Read, parts: dict[str, str]) -> None:
    (animal,) = read(parts["shop"] + parts["steer"] + bill).animals
    assert animal.bill is not None
    assert animal.bill.total_cents == pytest.approx(cents)


def test_a_last_week_cut_short_takes_its_share(read: Read, parts: dict[str, str]) -> None:
    shop = read(parts["shop"].replace("days = 14", "days = 10") + parts["steer"]).shop
    assert shop.week_share(1) == 1.0
    assert shop.week_share(2) == pytest.approx(3 / 7)


def test_everything_wrong_is_said_at_once(read: Read, parts: dict[str, str]) -> None:
    text = """
[shop]
start = "next monday"
days = 400
cutting_days = ["someday"]
rail = 14

[[animal]]
id = "C1"
kind = "grain finisht"
sex = "steer"
hot = 806
killed = 2026-02-27
inspected = "custom"
colour = "black"

[[demand]]
cut = "chuck-roll"
steps = [{ upto = "20lb", price = "9/lb" }, { upto = "10lb", price = "10/lb" }]

[[order]]
id = "1"
cut = "short-ribs"
weight = "-3lb"
price = "5/lb"
"""
    with pytest.raises(CannotDo) as refusal:
        read(text)
    places = " | ".join(finding.where for finding in refusal.value.findings)
    for place in ("shop, start", "shop, days", "shop, cutting_days", "shop, rail", "animal C1, kind",
                  "animal C1, hot", "animal C1, owner", "animal C1, colour", "upto", "price", "order 1, weight",
                  "order 1, by"):  # fmt: skip
        assert place in places, place


@pytest.mark.parametrize(
    ("field", "where"),
    [
        (
            '[[animal]]\nid = "C1"\nkind = "wagyu"\nsex = "steer"\nhot = "360kg"\nkilled = 2026-03-01\n',
            "animal",
        ),
        ('[[demand]]\ncut = "top-round"\nsteps = [{ upto = "3kg", price = "3/kg" }]\n', "demand"),
    ],
)
def test_the_same_thing_twice_is_refused(field: str, where: str, read: Read, parts: dict[str, str]) -> None:
    with pytest.raises(CannotDo) as refusal:
        read(parts["shop"] + parts["steer"] + parts["counter"] + field)
    assert any(finding.where == where and "2 times" in finding.given for finding in refusal.value.findings)


def test_ground_of_two_species_or_too_fat_is_refused(read: Read, parts: dict[str, str]) -> None:
    ground = '[[ground]]\nname = "ground-beef-70"\nlean = 60\nsteps = [{ upto = "3kg", price = "3/kg" }]\n'
    with pytest.raises(CannotDo) as refusal:
        read(parts["shop"] + parts["steer"] + ground)
    text = str(refusal.value)
    assert "30 % fat" in text
    assert "one species" in text


TABLES = (
    "shop",
    "hours",
    "wages",
    "margin",
    "animal",
    "demand",
    "order",
    "ground",
    "kinds",
    "grinding",
    "other",
)

hostile = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12) | st.dates(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=8,
)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.fixed_dictionaries({}, optional=dict.fromkeys(TABLES, hostile)))
def test_nonsense_gives_findings_never_a_trip(fields: dict[str, object]) -> None:
    with pytest.raises(CannotDo):
        read_week(Entry(fields, "", Findings()))


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(["id", "kind", "sex", "hot", "killed", "bill", "sides", "hang_days", "ways_allowed", "pin",
                        "style", "hot_left", "inspected", "owner", "kill_fee"]), hostile)  # fmt: skip
def test_one_spoiled_field_of_an_animal_never_trips(name: str, value: object) -> None:
    animal = {
        "id": "C1",
        "kind": "wagyu",
        "sex": "steer",
        "hot": "360kg",
        "killed": date(2026, 3, 1),
        name: value,
    }
    fields = {"shop": tomllib.loads("start = 2026-03-09\ndays = 7\n"), "animal": [animal]}
    try:
        week = read_week(Entry(fields, "", Findings()))
    except CannotDo as refusal:
        assert refusal.findings
    else:
        assert len(week.animals) == 1


def test_two_of_one_name_are_told_even_when_both_are_wrong_otherwise(
    read: Read, parts: dict[str, str]
) -> None:
    wrong = parts["steer"].replace('hot = "', 'hot = "-')
    with pytest.raises(CannotDo) as refusal:
        read(parts["shop"] + wrong + wrong)
    givens = [finding.given for finding in refusal.value.findings]
    assert any("2 times" in given for given in givens) and any("-" in given for given in givens)
