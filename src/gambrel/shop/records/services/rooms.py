"""Rooms and rails: added, changed, taken out where they never served, closed where they did; all in the trail."""

from __future__ import annotations

from typing import Any

from django.db import transaction
from django.db.models import Max

from gambrel.measures import CannotDo, Finding
from gambrel.shop.clock import today
from gambrel.shop.records.models import CoolerReading, CoolerRoom, Person, Rail, Side, SideMove
from gambrel.shop.records.services.shop import change
from gambrel.shop.records.services.trail import record


@transaction.atomic
def add_room(*, name: str, log_every_hours: float | None, by: Person | None) -> CoolerRoom:
    room = CoolerRoom.objects.create(name=name, log_every_hours=log_every_hours)
    record(by, "added a room", room, after={"name": name, "log_every_hours": log_every_hours})
    return room


@transaction.atomic
def change_room(room: CoolerRoom, changes: dict[str, Any], *, by: Person | None) -> CoolerRoom:
    return change(room, "changed a room", changes, by)


@transaction.atomic
def add_rail(room: CoolerRoom, *, name: str, length_mm: int, warmer_c: float, by: Person | None) -> Rail:
    """A rail behind the others of its room."""
    last = room.rails.aggregate(last=Max("order"))["last"]
    order = 0 if last is None else last + 1
    rail = Rail.objects.create(room=room, name=name, length_mm=length_mm, warmer_c=warmer_c, order=order)
    record(by, "added a rail", rail, after={"room": room.name, "name": name, "length_mm": length_mm})
    return rail


@transaction.atomic
def change_rail(rail: Rail, changes: dict[str, Any], *, by: Person | None) -> Rail:
    return change(rail, "changed a rail", changes, by)


@transaction.atomic
def take_out_rail(rail: Rail, *, by: Person | None) -> bool:
    """True when the rail is gone: nothing ever hung on it. False: it is closed. `CannotDo` while a side hangs there."""
    hanging = list(Side.objects.filter(rail=rail).select_related("animal")[:3])
    if hanging:
        raise CannotDo([Finding(str(rail), f"{', '.join(map(str, hanging))} on it", "an empty rail",
                                "Move what hangs there first.")])  # fmt: skip
    return _out(rail, served=SideMove.objects.filter(rail=rail).exists(), by=by)


@transaction.atomic
def take_out_room(room: CoolerRoom, *, by: Person | None) -> bool:
    """True when the room is gone: it never had a rail or a reading. False: it is closed. `CannotDo` with open rails."""
    rails = list(room.rails.filter(closed_on=None))
    if rails:
        raise CannotDo([Finding(room.name, f"rails in use: {', '.join(rail.name for rail in rails)}",
                                "a room without rails in use", "Take its rails out first.")])  # fmt: skip
    served = room.rails.exists() or CoolerReading.objects.filter(room=room).exists()
    return _out(room, served=served, by=by)


@transaction.atomic
def use_again(closed: Rail | CoolerRoom, *, by: Person | None) -> None:
    """A closed rail or room serves again; with a rail its room too."""
    if isinstance(closed, Rail) and closed.room.closed_on is not None:
        change(closed.room, "opened again", {"closed_on": None}, by)
    change(closed, "opened again", {"closed_on": None}, by)


def _out(one: Rail | CoolerRoom, *, served: bool, by: Person | None) -> bool:
    if served:
        change(one, "closed", {"closed_on": today()}, by)
        return False
    record(by, "took out", one, before={"name": one.name})
    one.delete()
    return True
