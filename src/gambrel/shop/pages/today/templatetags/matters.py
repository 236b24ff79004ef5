"""Where a matter of today leads."""

from __future__ import annotations

from django import template
from django.urls import NoReverseMatch, reverse

from gambrel.shop.records.selectors.today import Matter

register = template.Library()


@register.simple_tag
def matter_address(matter: Matter) -> str:
    """The page that does it."""
    try:
        return reverse(matter.goes_to, args=[] if matter.key is None else [matter.key])
    except NoReverseMatch:
        return reverse("today")
