"""Sides on the rail, their weights, and the coolers' log."""

from __future__ import annotations

from typing import Annotated, Any

from django.http import HttpRequest
from ninja import Path, Router, Status

from gambrel.shop.api.asked import READS, WRITES, one, stop_if_other, writer
from gambrel.shop.api.values import (
    CoolerIn,
    CoolerOut,
    Id,
    RoomOut,
    SideOut,
    WeighingOut,
    WeightIn,
    decimal_kg,
)  # fmt: skip
from gambrel.shop.clock import now
from gambrel.shop.records.models import CoolerReading, CoolerRoom, Side, Weighing
from gambrel.shop.records.services import cooler, rail
from gambrel.shop.records.week import sides_on_rail

router = Router(tags=["rail"])


@router.get("/sides", response={200: list[SideOut], **READS}, summary="Sides on the rail")
def sides(request: HttpRequest) -> list[dict[str, Any]]:
    return [_side(side) for side in sides_on_rail()]


@router.get(
    "/sides/{side_id}/weighings", response={200: list[WeighingOut], **READS}, summary="Weights of a side"
)
def weighings(request: HttpRequest, side_id: Annotated[Id, Path()]) -> Any:
    """Those that count: a line that was put right or taken out is left out."""
    side = one(Side.objects.all(), side_id)
    return side.weighings.standing().order_by("at", "pk")


@router.post("/sides/{side_id}/weighings", response={201: WeighingOut, **WRITES}, summary="Weigh a side")
def weigh(request: HttpRequest, side_id: Annotated[Id, Path()], sent: WeightIn) -> Status[Weighing]:
    device = writer(request)
    side = one(Side.objects.select_related("animal"), side_id)
    weight_kg = decimal_kg(sent.weight_kg)
    line = rail.weigh(side, weight_kg=weight_kg, typed=sent.typed or f"{weight_kg} kg", at=sent.at or now(), by=None,
                      key=sent.key, why=f"by {device.name}")  # fmt: skip
    stop_if_other("key", kept=(line.side_id, line.weight_kg), sent=(side.pk, weight_kg))
    return Status(201, line)


@router.get("/rooms", response={200: list[RoomOut], **READS}, summary="Cooler rooms")
def rooms(request: HttpRequest) -> Any:
    return CoolerRoom.objects.filter(closed_on=None).order_by("pk")


@router.get(
    "/rooms/{room_id}/readings",
    response={200: list[CoolerOut], **READS},
    summary="The newest of a room's log",
)
def readings(request: HttpRequest, room_id: Annotated[Id, Path()]) -> Any:
    room = one(CoolerRoom.objects.all(), room_id)
    return room.readings.filter(corrected_by__isnull=True).order_by("-at", "-pk")[:200]


@router.post("/rooms/{room_id}/readings", response={201: CoolerOut, **WRITES}, summary="Write a room's log")
def read_room(request: HttpRequest, room_id: Annotated[Id, Path()], sent: CoolerIn) -> Status[CoolerReading]:
    """At least one figure; what the probe shows, not what it should."""
    device = writer(request)
    room = one(CoolerRoom.objects.all(), room_id)
    line = cooler.read_room(
        room, at=sent.at or now(), by=None, key=sent.key, note=sent.note or f"by {device.name}", air_c=sent.air_c,
        carcass_c=sent.carcass_c, deep_c=sent.deep_c, humidity_pct=sent.humidity_pct,
    )  # fmt: skip
    stop_if_other("key", kept=(line.room_id, line.air_c, line.carcass_c, line.deep_c, line.humidity_pct),
                  sent=(room.pk, sent.air_c, sent.carcass_c, sent.deep_c, sent.humidity_pct))  # fmt: skip
    return Status(201, line)


def _side(side: Side) -> dict[str, Any]:
    return {
        "id": side.pk, "name": str(side), "animal": side.animal.tag, "kind": side.animal.kind, "half": side.half,
        "hot_kg": side.hot_kg, "hung_at": side.hung_at, "position_mm": side.position_mm,
        "rail": side.rail.name if side.rail else None, "room": side.rail.room.name if side.rail else None,
    }  # fmt: skip
