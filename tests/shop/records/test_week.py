"""The records as the journey's values: the invented shop put into them comes out as it went in."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from gambrel.measures import Entry, Findings
from gambrel.plan.example import START, example_week
from gambrel.plan.read_week import read_week
from gambrel.plan.sides import side_weight_kg
from gambrel.plan.week import Hanging, Week
from gambrel.shop.clock import now, today
from gambrel.shop.demo import DAYS, SEED, SIDES
from gambrel.shop.records.loss import weighings_of
from gambrel.shop.records.models import (
    Animal,
    FaceAccepted,
    FaceReading,
    Order,
    OwnKind,
    ShopProfile,
    Side,
    SideState,
)
from gambrel.shop.records.services.rail import weigh
from gambrel.shop.records.stored import plain, restored
from gambrel.shop.records.week import carcass_of, faces_of, kinds_of_shop, shop_of, week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.fixture
def written() -> Week:
    """The week file that the invented shop was made from, on the shop's own days."""
    week = read_week(Entry(tomllib.loads(example_week(sides=SIDES, days=DAYS, seed=SEED)), "", Findings()))
    later = today() - START
    return replace(
        week,
        animals=tuple(replace(one, killed=one.killed + later) for one in week.animals),
        orders=tuple(replace(one, by=one.by + later) for one in week.orders),
    )


def kept() -> Week:
    return week_of(ShopProfile.objects.get(), start=today(), days=DAYS)


def test_every_demand_comes_out_as_it_was_written(written: Week) -> None:
    assert sorted(kept().demands, key=lambda one: one.name) == sorted(
        written.demands, key=lambda one: one.name
    )


def test_every_order_comes_out_as_it_was_written(written: Week) -> None:
    for ours, theirs in zip(kept().orders, written.orders, strict=True):
        assert ours.weight_kg == pytest.approx(theirs.weight_kg, abs=0.0005), "kept to the gram"
        assert replace(ours, weight_kg=0) == replace(theirs, weight_kg=0)


def test_every_side_hangs_at_the_weight_it_was_hung_at(written: Week) -> None:
    ours = {hanging.id: hanging for hanging in kept().animals}
    for hanging in written.animals:
        assert dict(ours[hanging.id].side_hot_kg) == pytest.approx(dict(hanging.side_hot_kg), abs=0.0005)
        assert ours[hanging.id].killed == hanging.killed
        assert ours[hanging.id].inspected == hanging.inspected
        assert ours[hanging.id].animal.hot_kg == pytest.approx(hanging.animal.hot_kg, abs=0.001)


def test_bills_come_out_to_the_cent(written: Week) -> None:
    ours = {hanging.id: hanging.bill for hanging in kept().animals}
    for hanging in written.animals:
        bill = ours[hanging.id]
        assert bill is not None and hanging.bill is not None
        assert (bill.basis, bill.total_cents) == (hanging.bill.basis, hanging.bill.total_cents)


def test_the_shop_can_do_what_was_written(written: Week) -> None:
    ours = shop_of(ShopProfile.objects.get(), start=today(), days=DAYS)
    assert dict(ours.minutes_a_day) == pytest.approx(dict(written.shop.minutes_a_day))
    assert (ours.cutting_days, ours.margin, ours.trim) == (
        written.shop.cutting_days, written.shop.margin, written.shop.trim,
    )  # fmt: skip
    assert ours.grinding == written.shop.grinding


def test_a_side_that_left_is_not_planned() -> None:
    side = Side.objects.filter(animal__tag="B1", half="left").get()
    side.state = SideState.GONE
    side.save()
    hanging = next(one for one in kept().animals if one.id == "B1")
    assert set(hanging.side_hot_kg) == {"right"}
    right_kg = float(Side.objects.get(animal__tag="B1", half="right").hot_kg)
    assert hanging.animal.hot_kg == pytest.approx(2 * right_kg), "its fellow stands for the side that is gone"


def test_an_order_outside_the_days_is_not_in_the_week() -> None:
    order = Order.objects.first()
    assert order is not None
    Order.objects.filter(pk=order.pk).update(by_day=today() + timedelta(days=DAYS))
    assert order.code not in {one.id for one in kept().orders}
    Order.objects.filter(pk=order.pk).update(by_day=today(), state="cancelled")
    assert order.code not in {one.id for one in kept().orders}


def face(side: Side, **figures: float) -> FaceReading:
    return FaceReading.objects.create(side=side, at=now(), how="hand", **figures)


def test_the_newest_accepted_face_counts_and_sides_are_averaged() -> None:
    left, right = Side.objects.filter(animal__tag="C1").order_by("half")
    first, second = face(left, fat_mm=10.0, ribeye_cm2=80.0), face(left, fat_mm=12.0, ribeye_cm2=84.0)
    other = face(right, fat_mm=14.0, ribeye_cm2=88.0, marbling_score=450.0)
    for reading in (first, second, other):
        FaceAccepted.objects.create(reading=reading, side=reading.side, at=now())
    assert faces_of([left, right]) == {left.pk: second, right.pk: other}
    animal = next(one for one in kept().animals if one.id == "C1").animal
    # (12 + 14) / 2, (84 + 88) / 2; marbling was read on one side alone
    assert (animal.fat_mm, animal.ribeye_cm2, animal.marbling_score) == (13.0, 86.0, 450.0)


def test_a_reading_that_nobody_accepted_does_not_count() -> None:
    side = Side.objects.filter(animal__tag="C1").first()
    assert side is not None
    face(side, fat_mm=40.0)
    assert next(one for one in kept().animals if one.id == "C1").animal.fat_mm is None


@pytest.mark.parametrize(
    ("born_on", "killed_on", "months"),
    [(date(2023, 3, 10), date(2025, 3, 9), 23), (date(2023, 3, 9), date(2025, 3, 9), 24),
     (date(2023, 3, 8), date(2025, 3, 9), 24), (date(2024, 12, 31), date(2025, 1, 1), 0)],
)  # fmt: skip
def test_age_is_in_whole_months_of_the_birth(born_on: date, killed_on: date, months: int) -> None:
    """Counted by hand on a calendar: a month is whole on the day of the month that it was born on."""
    animal = Animal(tag="X", kind="bison", sex="bull", born_on=born_on, killed_on=killed_on, age_months=99)
    carcass = carcass_of(animal, kinds_of_shop()["bison"], hot_kg=300.0, faces=[], on=killed_on)
    assert carcass.age_months == months


def test_the_shops_own_kind_is_laid_over_the_four() -> None:
    OwnKind.objects.create(slug="dairy-cross", fields={"like": "grain-finished", "name": "dairy cross"})
    kinds = kinds_of_shop()
    assert len(kinds) == 5 and kinds["dairy-cross"].name == "dairy cross"
    animal = Animal.objects.create(tag="D9", kind="dairy-cross", sex="steer", killed_on=today())
    Side.objects.create(animal=animal, half="left", hot_kg=Decimal("160.5"), hung_at=now())
    hanging = next(one for one in kept().animals if one.id == "D9")
    assert hanging.kind.slug == "dairy-cross" and dict(hanging.side_hot_kg) == {"left": 160.5}


# Weighings ---------------------------------------------------------------------------------------------


def _side_of(week: Week, tag: str) -> Hanging:
    return next(one for one in week.animals if one.id == tag)


def _hung_days_ago(side: Side, days: int) -> None:
    """Both sides of the animal, with nothing weighed yet."""
    for one in Side.objects.filter(animal=side.animal):
        for line in weighings_of([one]).get(one.pk, []):
            weigh(
                one,
                weight_kg=line.weight_kg,
                typed=line.typed,
                at=line.at,
                by=None,
                corrects=line,
                taken_out=True,
            )
    Side.objects.filter(animal=side.animal).update(hung_at=now() - timedelta(days=days))
    Animal.objects.filter(pk=side.animal_id).update(killed_on=today() - timedelta(days=days))


def _weighed_share(side: Side, share: float) -> None:
    weight_kg = (side.hot_kg * Decimal(str(share))).quantize(Decimal("0.001"))
    weigh(side, weight_kg=weight_kg, typed=f"{weight_kg} kg", at=now(), by=None)


@pytest.fixture
def heavy_loser() -> Side:
    side = Side.objects.select_related("animal").get(animal__tag="C1", half="left")
    _hung_days_ago(side, 6)
    return side


def test_without_weighings_the_plan_takes_the_tables(heavy_loser: Side) -> None:
    assert _side_of(kept(), "C1").learned is None


def test_a_weighing_moves_the_weight_that_the_plan_cuts(heavy_loser: Side) -> None:
    """A side that was seen 1.5 % lighter than the tables say is planned lighter, and by less than it was seen."""
    day, before = today() + timedelta(days=2), _side_of(kept(), "C1")
    hot_kg = float(heavy_loser.hot_kg)
    expected_share = before.loss(hot_kg).remaining_mean(6.0)
    _weighed_share(heavy_loser, expected_share - 0.015)
    after = _side_of(kept(), "C1")
    moved_kg = side_weight_kg(before, hot_kg, day) - side_weight_kg(after, hot_kg, day)
    assert after.learned is not None and after.learned.weighings == 1
    assert 0.2 * 0.015 * hot_kg < moved_kg < 1.3 * 0.015 * hot_kg


def test_the_fellow_of_a_weighed_side_loses_alike(heavy_loser: Side) -> None:
    hot_kg = float(heavy_loser.hot_kg)
    before = _side_of(kept(), "C1").loss(hot_kg).remaining_mean(8.0)
    _weighed_share(heavy_loser, before - 0.01)
    fellow = Side.objects.get(animal=heavy_loser.animal, half="right")
    once = _side_of(kept(), "C1").loss(float(fellow.hot_kg)).remaining_mean(8.0)
    _weighed_share(fellow, before - 0.01)
    twice = _side_of(kept(), "C1").loss(float(fellow.hot_kg))
    assert twice.weighings == 2 and twice.remaining_mean(8.0) < once < before


def test_a_weighing_that_cannot_be_true_teaches_nothing(heavy_loser: Side) -> None:
    """Pounds typed for kilograms: more than twice the hot weight."""
    hot_kg = float(heavy_loser.hot_kg)
    before = _side_of(kept(), "C1").loss(hot_kg).remaining_mean(8.0)
    weigh(heavy_loser, weight_kg=heavy_loser.hot_kg * 2, typed="806", at=now(), by=None)
    after = _side_of(kept(), "C1").loss(hot_kg)
    assert after.weighings == 0 and after.remaining_mean(8.0) == pytest.approx(before)


def test_a_weighing_taken_out_teaches_nothing_any_more(heavy_loser: Side) -> None:
    _weighed_share(heavy_loser, 0.95)
    (line,) = weighings_of([heavy_loser])[heavy_loser.pk]
    assert _side_of(kept(), "C1").learned is not None
    weigh(
        heavy_loser,
        weight_kg=line.weight_kg,
        typed=line.typed,
        at=now(),
        by=None,
        corrects=line,
        taken_out=True,
    )
    assert _side_of(kept(), "C1").learned is None


def test_what_was_learned_is_kept_with_the_plan_and_comes_back(heavy_loser: Side) -> None:
    _weighed_share(heavy_loser, 0.95)
    week = kept()
    again = restored(Week, json.loads(json.dumps(plain(week))))
    assert _side_of(again, "C1").learned == _side_of(week, "C1").learned is not None
