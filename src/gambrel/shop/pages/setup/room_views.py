"""Rooms and rails: added, changed, taken out or closed, and used again."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.setup import forms, typed
from gambrel.shop.pages.setup.views import setup_page
from gambrel.shop.records.models import CoolerRoom, Rail
from gambrel.shop.records.selectors.rooms import open_rails, rooms_in_use
from gambrel.shop.records.services import rooms as service

IN_ROOMS: dict[str, Any] = {"part": "rooms", "back": "rooms", "begun": False}


@get_or_post
def rooms(request: ShopRequest) -> HttpResponse:
    """The rooms with their rails, and a form for one more room."""
    form = forms.RoomForm(request.POST or None, initial={"log_every_hours": 12})
    if request.method == "POST" and form.is_valid():
        room = service.add_room(**form.cleaned_data, by=person_of(request))
        return redirect("add_rail", room.pk)
    closed = Rail.objects.filter(closed_on__isnull=False).select_related("room")
    closed_rooms = CoolerRoom.objects.filter(closed_on__isnull=False).order_by("pk")
    there = list(rooms_in_use())
    said = {
        "rooms": there,
        "closed": [*closed_rooms, *closed],
        "has_rail": any(room.rails.all() for room in there),
    }
    return setup_page(request, "rooms", {"form": form, **said})


@get_or_post
def change_room(request: ShopRequest, room_id: int) -> HttpResponse:
    room = get_object_or_404(CoolerRoom, pk=room_id, closed_on=None)
    initial = {"name": room.name, "log_every_hours": room.log_every_hours}
    form = forms.RoomForm(request.POST or None, initial=initial, room=room)
    if request.method == "POST" and form.is_valid():
        service.change_room(room, form.cleaned_data, by=person_of(request))
        messages.success(request, _("Kept."))
        return redirect("rooms")
    out = {"remove": reverse("take_out_room", args=[room.pk]), "remove_said": _("Take this room out")}
    return setup_page(request, "part", {"form": form, "title": room.name, **out, **IN_ROOMS})


@get_or_post
def add_rail(request: ShopRequest, room_id: int) -> HttpResponse:
    room = get_object_or_404(CoolerRoom, pk=room_id, closed_on=None)
    form = forms.RailForm(request.POST or None, room=room, unit=_length_unit(request))
    if request.method == "POST" and form.is_valid():
        rail = service.add_rail(room, **form.changes(), by=person_of(request))
        messages.success(request, _("%(rail)s is there now.") % {"rail": rail.name})
        return redirect("rooms")
    return setup_page(
        request, "part", {"form": form, "title": _("A rail in %(name)s") % {"name": room.name}, **IN_ROOMS}
    )


@get_or_post
def change_rail(request: ShopRequest, rail_id: int) -> HttpResponse:
    rail = get_object_or_404(open_rails(), pk=rail_id)
    initial = {"name": rail.name, "length": typed.length_typed(rail.length_mm, request.weight_unit),
               "warmer_c": rail.warmer_c}  # fmt: skip
    form = forms.RailForm(request.POST or None, initial=initial, room=rail.room, rail=rail,
                          unit=_length_unit(request))  # fmt: skip
    if request.method == "POST" and form.is_valid():
        service.change_rail(rail, form.changes(), by=person_of(request))
        messages.success(request, _("Kept."))
        return redirect("rooms")
    out = {"remove": reverse("take_out_rail", args=[rail.pk]), "remove_said": _("Take this rail out")}
    return setup_page(request, "part", {"form": form, "title": str(rail), **out, **IN_ROOMS})


def _length_unit(request: ShopRequest) -> str:
    return "m" if request.weight_unit == "kg" else "ft"


@require_POST
def take_out_room(request: ShopRequest, room_id: int) -> HttpResponse:
    """Gone where it never served, closed where it did."""
    room = get_object_or_404(CoolerRoom, pk=room_id, closed_on=None)
    try:
        gone = service.take_out_room(room, by=person_of(request))
    except CannotDo as refusal:
        return _refused(request, refusal, "change_room", room_id)
    return _told(request, room.name, gone)


@require_POST
def take_out_rail(request: ShopRequest, rail_id: int) -> HttpResponse:
    """Gone where nothing ever hung on it, closed where something did."""
    rail = get_object_or_404(open_rails(), pk=rail_id)
    try:
        gone = service.take_out_rail(rail, by=person_of(request))
    except CannotDo as refusal:
        return _refused(request, refusal, "change_rail", rail_id)
    return _told(request, str(rail), gone)


@require_POST
def use_room_again(request: ShopRequest, room_id: int) -> HttpResponse:
    service.use_again(get_object_or_404(CoolerRoom, pk=room_id), by=person_of(request))
    return redirect("rooms")


@require_POST
def use_rail_again(request: ShopRequest, rail_id: int) -> HttpResponse:
    service.use_again(
        get_object_or_404(Rail.objects.select_related("room"), pk=rail_id), by=person_of(request)
    )
    return redirect("rooms")


def _refused(request: ShopRequest, refusal: CannotDo, back: str, record_id: int) -> HttpResponse:
    tell_findings(request, refusal.findings)
    return redirect(back, record_id)


def _told(request: ShopRequest, name: str, gone: bool) -> HttpResponse:
    told = _("%(name)s is gone.") if gone else _("%(name)s is closed; what was there stays in the records.")
    messages.success(request, told % {"name": name})
    return redirect("rooms")
