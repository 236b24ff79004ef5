"""The steps in the order of a carcass's journey, as links for whoever asks."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django import template
from django.urls import NoReverseMatch, resolve, reverse
from django.utils.translation import gettext, gettext_noop

from gambrel.shop.access import role_of

register = template.Library()

STEPS = (
    ("today", gettext_noop("Today")), ("rail", gettext_noop("Rail")), ("cooler", gettext_noop("Cooler")),
    ("ribfaces", gettext_noop("Rib face")), ("forecasts", gettext_noop("Forecast")), ("plan", gettext_noop("Plan")),
    ("block", gettext_noop("Block")), ("grind", gettext_noop("Grind")), ("packs", gettext_noop("Packs")),
    ("stock", gettext_noop("Stock")), ("counter", gettext_noop("Counter")), ("trace", gettext_noop("Trace")),
    ("prices", gettext_noop("Prices")), ("orders", gettext_noop("Orders")),
    ("bid", gettext_noop("Bid")), ("compare", gettext_noop("Side by side")), ("animals", gettext_noop("Animals")),
    ("books", gettext_noop("Books")), ("learn", gettext_noop("Learn")), ("exchange", gettext_noop("In and out")),
    ("people", gettext_noop("People")), ("setup", gettext_noop("The shop")),
)  # fmt: skip
"""Name of the address and what the link says."""


@dataclass(frozen=True, slots=True)
class Link:
    name: str
    address: str
    here: bool


@register.simple_tag(takes_context=True)
def steps(context: dict[str, Any]) -> list[Link]:
    """The pages that this person may open."""
    request = context.get("request")
    if request is None or not hasattr(request, "user") or getattr(request, "shop", None) is None:
        return []
    role, links = role_of(request), []
    for name, said in STEPS:
        try:
            address = reverse(name)
        except NoReverseMatch:
            continue
        if role in getattr(resolve(address).func, "roles", frozenset()) and not _hidden(name, role, request):
            links.append(Link(gettext(said), address, request.path.startswith(address)))
    return links


def _hidden(name: str, role: str, request: Any) -> bool:
    """A visitor is not led to what the owner keeps to the shop."""
    return role == "visitor" and not (name == "compare" and request.shop.comparison_is_public)
