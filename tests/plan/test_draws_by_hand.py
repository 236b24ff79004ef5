"""What comes off the planned sides: whose luck is shared, what may be sold, what hangs on, with a made-up block."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from gambrel.plan import Hanging, PlanResult, SidePlan, Week
from gambrel.plan.market import origin_of
from gambrel.plan.questions.draws import Made, SideDraws, draw_made

Read = Callable[[str], Week]

MON, WED = date(2026, 3, 9), date(2026, 3, 11)


class Block:
    """Three tenths round, one tenth T-bone and two minutes a kilogram of hot weight; the luck is the seed's."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, str, int]] = []

    def __call__(self, hanging: Hanging, side: SidePlan, draws: int, seed: int) -> SideDraws:
        self.asked.append((hanging.id, side.half, seed))
        luck = np.random.default_rng(seed).uniform(0.9, 1.1, draws)
        return SideDraws({"top-round": 0.3 * luck, "t-bone-steak": 0.1 * luck}, {"knife": 2.0 * luck})


def side(name: str, half: str, day: date | None, way: str = "boneless") -> SidePlan:
    return SidePlan(f"{name}-{half}", name, half, "grain-finished", day, 170.0, {"forequarter": way})


def made(week: Week, *sides: SidePlan, seed: int = 1, draws: int = 40) -> tuple[Made, Block]:
    block = Block()
    plan = PlanResult("optimal", 0, 0.0, 0.0, sides=sides)
    return draw_made(week, plan, block, draws=draws, seed=seed), block


@pytest.fixture
def week(read: Read, parts: dict[str, str]) -> Week:
    """Two steers of 180 kg a side."""
    return read(parts["shop"] + parts["steer"] + parts["steer"].replace("C1", "C2") + parts["counter"])


def test_two_halves_cut_alike_share_their_luck_and_weigh_twice_as_much(week: Week) -> None:
    one, _ = made(week, side("C1", "left", MON))
    both, block = made(week, side("C1", "left", MON), side("C1", "right", MON))
    key = (origin_of(week.animals[0]), "top-round", MON)
    assert both.meat_kg[key] == pytest.approx(2.0 * one.meat_kg[key])
    assert np.all(
        (both.meat_kg[key] >= 97.2) & (both.meat_kg[key] <= 118.8)
    )  # 2 x 180 kg x 0.3, a tenth about it
    assert both.minutes[MON, "knife"] == pytest.approx(2.0 * one.minutes[MON, "knife"])
    assert len(block.asked) == 1


def test_halves_on_two_days_have_one_carcass_and_two_animals_have_none_in_common(week: Week) -> None:
    found, block = made(
        week, side("C1", "left", MON), side("C1", "right", WED), side("C2", "left", WED, "bone-in")
    )
    (_, _, first), (_, _, again), (_, _, other) = block.asked
    assert first == again != other
    alone = found.meat_kg[origin_of(week.animals[0]), "top-round", MON]
    assert np.corrcoef(alone, found.minutes[MON, "knife"])[0, 1] == pytest.approx(1.0)
    second = found.meat_kg[origin_of(week.animals[0]), "top-round", WED] - alone  # what C2 adds on Wednesday
    assert abs(np.corrcoef(alone, second)[0, 1]) < 0.6


def test_an_owners_animal_takes_time_and_sells_nothing(week: Week) -> None:
    custom = replace(week.animals[0], inspected="custom", owner="the Alder place")
    own = replace(week, animals=(custom, week.animals[1]))
    found, _ = made(own, side("C1", "left", MON), side("C1", "right", None))
    assert found.meat_kg == {} and not found.waste_kg.any() and not found.hanging_kg.any()
    assert np.all(found.minutes[MON, "knife"] >= 2 * 180.0 * 0.9)


def test_bone_of_the_back_of_an_older_animal_is_waste(week: Week) -> None:
    """From 30 months the vertebral column is not for people [9 CFR 310.22(a)(1)]: a T-bone has some of it in it."""
    old = replace(week.animals[0], animal=replace(week.animals[0].animal, age_months=36))
    young, _ = made(week, side("C1", "left", MON))
    found, _ = made(replace(week, animals=(old, week.animals[1])), side("C1", "left", MON))
    assert {slug for _, slug, _ in young.meat_kg} == {
        "top-round",
        "t-bone-steak",
    } and not young.waste_kg.any()
    assert {slug for _, slug, _ in found.meat_kg} == {"top-round"}
    bone = young.meat_kg[origin_of(old), "t-bone-steak", MON]
    assert found.waste_kg == pytest.approx(bone)


def test_a_side_that_hangs_on_is_weighed_the_morning_after_the_plan(week: Week) -> None:
    found, block = made(week, side("C1", "left", None), side("C2", "right", None), draws=2000)
    days = (week.shop.end + timedelta(days=1) - week.animals[0].killed).days
    left = week.animals[0].loss(180.0).remaining_mean(float(days))
    sd = week.animals[0].loss(180.0).remaining_sd(float(days))
    assert found.hanging_kg.mean() == pytest.approx(360.0 * left, abs=4 * 180.0 * sd * (2 / 2000) ** 0.5)
    assert block.asked == [] and found.meat_kg == {} and found.minutes == {}


def test_the_seed_settles_every_draw(week: Week) -> None:
    sides = (side("C1", "left", MON), side("C2", "left", None))
    (one, _), (again, _), (other, _) = made(week, *sides), made(week, *sides), made(week, *sides, seed=2)
    (key,) = [key for key in one.meat_kg if key[1] == "top-round"]
    assert np.array_equal(one.meat_kg[key], again.meat_kg[key])
    assert np.array_equal(one.hanging_kg, again.hanging_kg)
    assert not np.array_equal(one.meat_kg[key], other.meat_kg[key])
