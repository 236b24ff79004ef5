"""People taken on and changed, what visitors see, and the line that each leaves in the trail."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

import pytest
from django.db import IntegrityError, transaction

from gambrel.measures import CannotDo
from gambrel.shop.clock import now
from gambrel.shop.records.models import (
    AuditLine,
    CoolerReading,
    CoolerRoom,
    Person,
    ShopProfile,
    Side,
    Weighing,
)
from gambrel.shop.records.services.cooler import read_room
from gambrel.shop.records.services.people import change, prefer, take_on
from gambrel.shop.records.services.rail import move, weigh
from gambrel.shop.records.services.showing import show
from gambrel.shop.records.services.trail import A_PROGRAM, record

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]
KEY = UUID(int=11)


def owner() -> Person:
    return Person.objects.get(role="owner")


def last() -> AuditLine:
    return AuditLine.objects.latest("pk")


def a_side() -> Side:
    return Side.objects.filter(state="hanging").order_by("pk")[0]


def test_who_is_taken_on_reads_as_the_shop_does_and_may_sign_in() -> None:
    shop = ShopProfile(name="Far shop", language="es", weight_unit="kg")
    new = take_on(name="  Teodora Finch ", role="cutter", password="four plain words", by=owner(), shop=shop)
    assert (new.name, new.language, new.weight_unit, new.is_active) == ("Teodora Finch", "es", "kg", True)
    assert new.check_password("four plain words") and "four" not in new.password
    assert (last().what, last().record_id, last().by) == ("took on", str(new.pk), owner())
    assert last().after == {"name": "Teodora Finch", "role": "cutter"}


def test_a_name_that_is_there_in_other_capitals_leaves_neither_person_nor_line() -> None:
    before = Person.objects.count(), AuditLine.objects.count()
    with pytest.raises(IntegrityError), transaction.atomic():
        take_on(name=owner().name.upper(), role="cutter", password="x", by=owner(), shop=None)
    assert (Person.objects.count(), AuditLine.objects.count()) == before


@pytest.mark.parametrize(("password", "is_new"), [("", False), ("other words", True)])
def test_a_password_changes_only_where_one_is_given_and_is_never_in_the_trail(
    password: str, is_new: bool
) -> None:
    cutter = Person.objects.get(role="cutter")
    kept = cutter.password
    change(cutter, role="counter", is_active=False, password=password, by=owner())
    cutter.refresh_from_db()
    assert (cutter.role, cutter.is_active, cutter.password != kept) == ("counter", False, is_new)
    assert last().before == {"role": "cutter", "is_active": True}
    assert last().after == {"role": "counter", "is_active": False, "new_password": is_new}


def test_what_a_person_likes_is_kept_and_not_in_the_trail() -> None:
    lines = AuditLine.objects.count()
    prefer(owner(), language="es", weight_unit="kg", theme="dark")
    assert (owner().language, owner().weight_unit, owner().theme) == ("es", "kg", "dark")
    assert AuditLine.objects.count() == lines


@pytest.mark.parametrize(("comparison", "prices"), [(True, True), (True, False), (False, False)])
def test_what_visitors_see_is_kept_with_what_it_was(comparison: bool, prices: bool) -> None:
    shop = ShopProfile.objects.get()
    was = {"comparison": shop.comparison_is_public, "prices": shop.prices_are_public}
    show(shop, comparison=comparison, prices=prices, by=owner())
    kept = ShopProfile.objects.get()
    assert (kept.comparison_is_public, kept.prices_are_public) == (comparison, prices)
    assert last().before == was and last().after == {"comparison": comparison, "prices": prices}


@pytest.mark.parametrize("by_a_person", [True, False])
def test_a_line_of_the_trail_says_who_when_and_to_what(by_a_person: bool) -> None:
    side = a_side()
    line = record(owner() if by_a_person else None, "looked", side, why="<b>ñ</b>")
    assert line.by_name == (owner().name if by_a_person else A_PROGRAM)
    assert (line.record, line.record_id, line.at, line.why) == ("side", str(side.pk), now(), "<b>ñ</b>")


def test_a_weight_sent_twice_is_kept_once_with_one_line_of_the_trail() -> None:
    said: dict[str, Any] = {"at": now(), "by": owner(), "key": KEY}
    lines = AuditLine.objects.count()
    first = weigh(a_side(), weight_kg=Decimal("140"), typed="140 kg", **said)
    again = weigh(a_side(), weight_kg=Decimal("999"), typed="999 kg", **said)
    assert first == again and again.weight_kg == 140
    assert AuditLine.objects.count() == lines + 1


@pytest.mark.parametrize(("taken_out", "verb"), [(False, "weighed again"), (True, "taken out")])
def test_a_weight_is_put_right_once(taken_out: bool, verb: str) -> None:
    first = weigh(a_side(), weight_kg=Decimal("140"), typed="140 kg", at=now(), by=owner())
    said: dict[str, Any] = {"weight_kg": Decimal("104"), "typed": "104 kg", "at": now(), "by": owner()}
    weigh(a_side(), **said, corrects=first, taken_out=taken_out, why="digits")
    assert (last().what, last().why) == (verb, "digits")
    assert last().before == {"weight_kg": "140", "typed": "140 kg"}
    count = Weighing.objects.count()
    with pytest.raises(CannotDo, match="put right twice"):
        weigh(a_side(), **said, corrects=first)
    assert Weighing.objects.count() == count


def test_a_side_taken_down_leaves_its_place_and_says_where_it_was() -> None:
    side = a_side()
    was = {"rail": str(side.rail or ""), "position_mm": side.position_mm, "state": "hanging"}
    line = move(side, rail=None, position_mm=None, by=owner(), why="sold whole", state="gone")
    assert (line.state, line.rail, a_side() == side) == ("gone", None, False)
    assert (last().what, last().before, last().why) == ("taken down", was, "sold whole")


def test_a_reading_without_a_figure_is_refused_and_one_sent_twice_is_kept_once() -> None:
    room = CoolerRoom.objects.order_by("pk")[0]
    count = CoolerReading.objects.count()
    with pytest.raises(CannotDo, match="at least one figure"):
        read_room(room, at=now(), by=owner())
    first = read_room(room, at=now(), by=owner(), air_c=0.0, key=KEY)  # zero is a figure
    assert read_room(room, at=now(), by=owner(), air_c=9.0, key=KEY) == first
    assert CoolerReading.objects.count() == count + 1


def test_a_reading_is_put_right_once_with_what_it_was() -> None:
    room, at = CoolerRoom.objects.order_by("pk")[0], datetime.fromisoformat("2026-03-09T15:00:00+00:00")
    first = read_room(room, at=at, by=owner(), air_c=12.0)
    read_room(room, at=at, by=owner(), air_c=1.2, corrects=first, note="a point too few")
    assert last().before is not None and last().before["air_c"] == 12.0
    assert last().after is not None and last().after["air_c"] == 1.2
    assert last().why == "a point too few"
    with pytest.raises(CannotDo, match="put right twice"):
        read_room(room, at=at, by=owner(), air_c=1.3, corrects=first)
