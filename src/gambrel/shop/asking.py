"""A request as the pages see it: whoever asks, and what `preferences` has put beside it."""

from __future__ import annotations

from django.http import HttpRequest

from gambrel.shop.records.models import Person, ShopProfile


class ShopRequest(HttpRequest):
    """The type of every view's first argument; requests are never made of it. Pages open once there is a shop."""

    shop: ShopProfile
    weight_unit: str
    theme: str


def person_of(request: HttpRequest) -> Person | None:
    """The person who has signed in; None for a visitor."""
    return request.user if request.user.is_authenticated else None
