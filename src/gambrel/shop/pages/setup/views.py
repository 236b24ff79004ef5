"""The shop made at its first start, and the owner's settings afterwards."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters

from gambrel.measures import CannotDo
from gambrel.shop import first_start
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.setup import forms
from gambrel.shop.pages.setup.limit_forms import LimitsForm
from gambrel.shop.records.models import Person, Rail, ShopProfile
from gambrel.shop.records.services import shop as service
from gambrel.shop.records.week import kinds_of_shop

BACKEND = "django.contrib.auth.backends.ModelBackend"


def setup_page(request: ShopRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """A form that was sent and comes back has something wrong with it."""
    begun = Person.objects.count() <= 1
    return form_page(request, f"setup/{template}.html", {"begun": begun, **context})


@sensitive_post_parameters("password", "again")
@get_or_post
def make_shop(request: ShopRequest) -> HttpResponse:
    """The first start: whoever has the code that was printed makes the shop and is its owner."""
    if ShopProfile.objects.exists():
        return redirect("setup")
    initial = {
        "language": request.LANGUAGE_CODE[:2],
        "weight_unit": request.weight_unit,
        "zone": "America/Denver",
        "code": request.GET.get("code", "")[:40],
    }
    form = forms.MakeShopForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            owner = service.make_shop(**form.changes(), owner=said["owner"], password=said["password"])
        except CannotDo:
            return redirect("sign_in")
        first_start.forget(settings.PLACE.folder)
        login(request, owner, backend=BACKEND)
        return redirect("rooms")
    return setup_page(request, "make_shop", {"form": form})


@get_or_post
def setup(request: ShopRequest) -> HttpResponse:
    """Name, zone, language, unit and kinds; the other settings are a link away."""
    shop, kinds = request.shop, dict(kinds_of_shop())
    initial = {"shop_name": shop.name, "zone": shop.zone, "language": shop.language,
               "weight_unit": shop.weight_unit, "kinds_used": shop.kinds_used or list(kinds)}  # fmt: skip
    form = forms.SettingsForm(request.POST or None, initial=initial, kinds=kinds)
    if request.method == "POST" and form.is_valid():
        return _kept(request, form, "setup")
    return setup_page(request, "setup", {"form": form, "rails": Rail.objects.filter(closed_on=None).count()})


@get_or_post
def work(request: ShopRequest) -> HttpResponse:
    """Cutting days, hours of each kind of work, wage, trim."""
    form = forms.WorkForm(request.POST or None, shop=request.shop, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        return _kept(request, form, "money" if _is_beginning(request) else "work")
    said = {"title": _("Hours and hands"), "part": "work",
            "intro": _("The plan never asks more of a cutting day than these hours.")}  # fmt: skip
    return setup_page(request, "part", {"form": form, **said})


@get_or_post
def limits(request: ShopRequest) -> HttpResponse:
    """Weekdays with other hours and closed days, overtime, blocks and saws, the freezer."""
    sent = request.POST if request.method == "POST" else None  # all of it may be empty
    form = LimitsForm(sent, shop=request.shop, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        return _kept(request, form, "limits")
    said = {"title": _("Weekdays, overtime, blocks and freezer"), "part": "limits",
            "intro": _("How far the plan may go beyond the hours, and what it must fit into. What stays empty sets no "
                       "limit; without overtime a day ends with its hours.")}  # fmt: skip
    return setup_page(request, "limits", {"form": form, **said})


@get_or_post
def money(request: ShopRequest) -> HttpResponse:
    """Margin, packing, overhead, and what prices end in."""
    form = forms.MoneyForm(request.POST or None, shop=request.shop, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        return _kept(request, form, "people" if _is_beginning(request) else "money")
    intro = _(
        "Prices and bids are made with these; the prices page shows each price with its cost and margin."
    )
    return setup_page(request, "part", {"form": form, "title": _("Money"), "part": "money", "intro": intro})


def _is_beginning(request: ShopRequest) -> bool:
    return "begun" in request.POST


def _kept(request: ShopRequest, form: Any, goes_to: str) -> HttpResponse:
    service.change_shop(request.shop, form.changes(), by=person_of(request))
    messages.success(request, _("Kept."))
    return redirect(goes_to)
