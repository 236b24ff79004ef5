"""Rooms and rails that are used no more: gone where they never served, closed where they did, used again."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import AuditLine, CoolerReading, CoolerRoom, Rail, Side
from gambrel.shop.records.selectors.cooler import cooler_page
from gambrel.shop.records.selectors.rail import rail_page
from gambrel.shop.records.selectors.rooms import open_rails, rooms_in_use
from gambrel.shop.records.services import rail as rail_service
from gambrel.shop.records.services import rooms
from gambrel.shop.records.week import shop_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def new_room(name: str = "Old cooler") -> CoolerRoom:
    return rooms.add_room(name=name, log_every_hours=12.0, by=None)


def new_rail(room: CoolerRoom, name: str = "Spare rail") -> Rail:
    return rooms.add_rail(room, name=name, length_mm=3000, warmer_c=0.0, by=None)


def served_rail() -> Rail:
    """A rail that a side once hung on, empty again."""
    rail = new_rail(new_room())
    side = Side.objects.filter(state="hanging").select_related("rail", "rail__room")[0]
    home = side.rail
    rail_service.move(side, rail=rail, position_mm=0, by=None)
    rail_service.move(side, rail=home, position_mm=0, by=None)
    return rail


def test_a_rail_that_nothing_ever_hung_on_is_gone(owner_client: Client) -> None:
    rail = new_rail(new_room())
    answer = owner_client.post(reverse("take_out_rail", args=[rail.pk]), follow=True)
    assert "Old cooler: Spare rail is gone." in answer.content.decode()
    assert not Rail.objects.filter(pk=rail.pk).exists()
    line = AuditLine.objects.latest("pk")
    assert (line.what, line.before) == ("took out", {"name": "Spare rail"})


def test_a_rail_that_served_is_closed_and_stays_in_the_records(owner_client: Client) -> None:
    rail = served_rail()
    answer = owner_client.post(reverse("take_out_rail", args=[rail.pk]), follow=True)
    assert "stays in the records" in answer.content.decode()
    rail.refresh_from_db()
    assert rail.closed_on == today()
    assert AuditLine.objects.latest("pk").after == {"closed_on": str(today())}


def test_a_closed_rail_is_nowhere_to_hang_at_and_counts_no_metres(
    owner_client: Client, demo_shop: Any
) -> None:
    rail = served_rail()
    before_mm = shop_of(demo_shop.profile, start=today(), days=7).rail_mm
    rooms.take_out_rail(rail, by=None)
    after_mm = shop_of(demo_shop.profile, start=today(), days=7).rail_mm
    assert before_mm is not None and after_mm == before_mm - 3000
    assert rail not in open_rails()
    offered = owner_client.get(reverse("hang_animal")).context["form"].fields["rail"].queryset
    assert rail not in offered
    drawn = [line.rail for room in rail_page(demo_shop.profile, on=today()).rooms for line in room.rails]
    assert rail not in drawn and drawn
    side = Side.objects.filter(state="hanging")[0]
    answer = owner_client.post(reverse("move_side", args=[side.pk]), {"rail": rail.pk, "place_m": "0"})
    assert answer.status_code == 400
    assert owner_client.get(reverse("change_rail", args=[rail.pk])).status_code == 404


def test_a_rail_with_a_side_on_it_stays(owner_client: Client) -> None:
    side = Side.objects.filter(state="hanging", rail__isnull=False).select_related("animal", "rail__room")[0]
    assert side.rail is not None
    answer = owner_client.post(reverse("take_out_rail", args=[side.rail.pk]), follow=True)
    assert "Move what hangs there first" in answer.content.decode()
    assert Rail.objects.get(pk=side.rail.pk).closed_on is None


def test_a_room_goes_after_its_rails() -> None:
    room = new_room()
    rail = new_rail(room)
    with pytest.raises(CannotDo, match="rails in use: Spare rail"):
        rooms.take_out_room(room, by=None)
    assert rooms.take_out_rail(rail, by=None) and rooms.take_out_room(room, by=None)
    assert not CoolerRoom.objects.filter(name="Old cooler").exists()


@pytest.mark.parametrize("served_by", ["a reading", "a rail"])
def test_a_room_that_served_is_closed_and_its_log_is_asked_for_no_more(
    served_by: str, owner_client: Client
) -> None:
    if served_by == "a reading":
        room = new_room()
        CoolerReading.objects.create(room=room, at=now(), air_c=2.0)
    else:
        rail = served_rail()
        rooms.take_out_rail(rail, by=None)
        room = rail.room
    assert room in [log.room for log in cooler_page(at=now())]
    owner_client.post(reverse("take_out_room", args=[room.pk]))
    room.refresh_from_db()
    assert room.closed_on == today()
    assert room not in [log.room for log in cooler_page(at=now())] and room not in rooms_in_use()


def test_what_was_closed_is_used_again(owner_client: Client) -> None:
    rail = served_rail()
    rooms.take_out_rail(rail, by=None)
    rooms.take_out_room(rail.room, by=None)
    page = owner_client.get(reverse("rooms")).content.decode()
    assert "Use Old cooler: Spare rail again" in page and "Use Old cooler again" in page
    owner_client.post(reverse("use_rail_again", args=[rail.pk]))
    assert rail in open_rails() and rail.room in rooms_in_use(), "with a rail its room too"
    rail = open_rails().get(pk=rail.pk)
    rooms.take_out_rail(rail, by=None)
    rooms.take_out_room(rail.room, by=None)
    owner_client.post(reverse("use_room_again", args=[rail.room.pk]))
    assert rail.room in rooms_in_use() and rail not in open_rails()


def test_only_the_owner_takes_out(cutter_client: Client, counter_client: Client) -> None:
    rail = new_rail(new_room())
    for client in (cutter_client, counter_client):
        assert client.post(reverse("take_out_rail", args=[rail.pk])).status_code == 403
    assert Rail.objects.filter(pk=rail.pk).exists()
