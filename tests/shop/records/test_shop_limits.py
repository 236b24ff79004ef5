"""Weekdays, overtime, blocks and freezer of the records as the plan takes them; what was never said is as before."""

from __future__ import annotations

from datetime import date

import pytest

from gambrel.plan.week import Freezer, Overtime, Room, Week
from gambrel.shop.clock import today
from gambrel.shop.records.models import Demand, ShopProfile
from gambrel.shop.records.shop_limits import (
    closed_on_of,
    freezer_of,
    minutes_on_of,
    overtime_of,
    overtime_wage_cents,
    room_of,
)
from gambrel.shop.records.stored import plain, restored
from gambrel.shop.records.week import shop_of, week_of


def a_shop(**said: object) -> ShopProfile:
    return ShopProfile(name="Cottonwood Bend", wage_cents_per_hour=2400, **said)


def test_what_was_never_said_is_as_in_a_week_file_that_says_nothing() -> None:
    shop = a_shop()
    assert (overtime_of(shop), room_of(shop), freezer_of(shop)) == (Overtime(), Room(), Freezer())
    assert (minutes_on_of(shop), closed_on_of(shop)) == ({}, ())


def test_a_weekday_has_its_own_minutes_and_a_closed_day_is_a_day() -> None:
    shop = a_shop(minutes_on={"sat": {"knife": 240, "saw": 0}}, closed_on=["2027-01-01", "2026-12-25"])
    assert minutes_on_of(shop) == {"sat": {"knife": 240.0, "saw": 0.0}}
    assert closed_on_of(shop) == (date(2026, 12, 25), date(2027, 1, 1))


@pytest.mark.parametrize(("said", "cents"), [(None, 3600.0), (2400, 2400.0), (5000, 5000.0)])
def test_overtime_costs_what_is_said_or_half_as_much_again(said: int | None, cents: float) -> None:
    """24 dollars and half of it, 36."""
    shop = a_shop(overtime_minutes_a_day={"knife": 90}, overtime_cents_per_hour=said)
    assert overtime_wage_cents(shop) == cents
    assert overtime_of(shop) == Overtime({"knife": 90.0}, cents)


def test_a_wage_without_overtime_is_no_overtime() -> None:
    assert overtime_of(a_shop(overtime_cents_per_hour=5000)) == Overtime()


def test_blocks_and_saws_while_the_room_is_open() -> None:
    assert room_of(a_shop(at_once={"knife": 3, "saw": 0}, open_min=600.0)) == Room(
        {"knife": 3, "saw": 0}, 600.0
    )
    assert room_of(a_shop(open_min=600.0)) == Room(), "open without a number of blocks is no limit"


def test_an_empty_freezer_of_nothing_is_not_the_same_as_no_limit() -> None:
    assert freezer_of(a_shop(freezer_holds_kg=0.0)) == Freezer(0.0, 0.0)
    assert freezer_of(a_shop(freezer_cost_cents_per_kg=33.0)) == Freezer(None, 33.0)


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
def test_the_week_of_the_records_carries_them_and_is_kept_with_the_plan() -> None:
    untouched = shop_of(ShopProfile.objects.get(), start=today(), days=7)
    assert (untouched.overtime, untouched.room, untouched.freezer) == (Overtime(), Room(), Freezer())
    assert (untouched.minutes_on, untouched.closed_on) == ({}, ())
    ShopProfile.objects.update(minutes_on={"sat": {"knife": 240.0}}, closed_on=["2026-03-12"],
                               overtime_minutes_a_day={"saw": 30.0}, at_once={"knife": 2}, open_min=480.0,
                               freezer_holds_kg=400.0, freezer_cost_cents_per_kg=25.0)  # fmt: skip
    week = week_of(ShopProfile.objects.get(), start=today(), days=7)
    assert week.shop.overtime.minutes_a_day == {"saw": 30.0}
    assert week.shop.room == Room({"knife": 2}, 480.0) and week.shop.freezer == Freezer(400.0, 25.0)
    assert week.shop.minutes_on == {"sat": {"knife": 240.0}} and week.shop.closed_on == (date(2026, 3, 12),)
    assert not week.shop.is_cutting_day(date(2026, 3, 12)) and week.shop.is_cutting_day(date(2026, 3, 13))
    assert restored(Week, plain(week)) == week
    older = plain(week)
    del older["shop"]["closed_on"]
    assert restored(Week, older).shop.closed_on == (), "a week that was kept before any day could be closed"


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
def test_a_product_of_the_freezer_is_a_demand_of_its_own() -> None:
    before = week_of(ShopProfile.objects.get(), start=today(), days=7).demands
    assert not any(one.frozen for one in before)
    row = (
        Demand.objects.filter(lean_pct=None).exclude(salvage_cents_per_kg=0).first()
        or Demand.objects.all()[0]
    )
    row.frozen_upto_kg, row.frozen_price_cents_per_kg, row.frozen_kept_cents_per_kg = 8.0, 1500.0, 900.0
    row.save()
    *fresh, frozen = week_of(ShopProfile.objects.get(), start=today(), days=7).demands
    assert tuple(fresh) == before, "what the counter takes fresh stays as it is"
    assert (frozen.slug, frozen.group.name, frozen.frozen) == (row.slug, row.group, True)
    assert [(step.upto_kg, step.price_cents_per_kg) for step in frozen.steps] == [(8.0, 1500.0)]
    assert (frozen.kept_cents_per_kg, frozen.salvage_cents_per_kg) == (900.0, 0.0)
    assert frozen.shelf_days == (90 if frozen.is_ground else 120)
