"""Each person's language, unit and theme, and the shop's zone, put in place for the time of a request."""

from __future__ import annotations

import zoneinfo
from collections.abc import Callable
from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.utils import timezone, translation

from gambrel.files.speech import Speech, speaking
from gambrel.shop.access import role_of
from gambrel.shop.asking import ShopRequest
from gambrel.shop.clock import today
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.models import ShopProfile

LANGUAGE_COOKIE, UNIT_COOKIE, THEME_COOKIE = "language", "unit", "theme"
"""A visitor's own choice; a person who signs in has it in the records."""


class AsThePersonLikes:
    """Middleware: sets `request.shop`, `request.weight_unit` and `request.theme`, the zone and the language."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        shop = ShopProfile.objects.first()
        person = request.user if request.user.is_authenticated else None
        language = person.language if person else _one_of(request, LANGUAGE_COOKIE, ("en", "es"))
        unit = person.weight_unit if person else _one_of(request, UNIT_COOKIE, ("lb", "kg"))
        theme = person.theme if person else _one_of(request, THEME_COOKIE, ("auto", "light", "dark"))
        asked = cast(ShopRequest, request)
        asked.shop = cast(
            ShopProfile, shop
        )  # None until the shop is made, and then no page but that one opens
        asked.weight_unit = unit or (shop.weight_unit if shop else "lb")
        asked.theme = theme or "auto"
        language = (
            language or (shop.language if shop else translation.get_language_from_request(request)) or "en"
        )
        speech = Speech(language, in_words_of_page)
        zone = zoneinfo.ZoneInfo(shop.zone) if shop else zoneinfo.ZoneInfo("UTC")
        with timezone.override(zone), translation.override(language), speaking(speech):
            request.LANGUAGE_CODE = language
            response = self.get_response(request)
        response.headers.setdefault("Content-Language", language)
        return response


def _one_of(request: HttpRequest, cookie: str, choices: tuple[str, ...]) -> str | None:
    value = request.COOKIES.get(cookie)
    return value if value in choices else None


def on_every_page(request: HttpRequest) -> dict[str, Any]:
    """What every template may use: the shop, the role, the unit, the theme and the date."""
    return {
        "shop": getattr(request, "shop", None),
        "role": role_of(request) if hasattr(request, "user") else "visitor",
        "weight_unit": getattr(request, "weight_unit", "lb"),
        "theme": getattr(request, "theme", "auto"),
        "today": today(),
    }
