"""Sides by the names that plans and sheets know them by."""

from __future__ import annotations

from collections.abc import Iterable

from gambrel.shop.records.models import Side


def sides_of_animals(tags: Iterable[str]) -> dict[str, Side]:
    """Name, as "B1-left", to the side, of every animal with one of these tags. One query."""
    sides = Side.objects.filter(animal__tag__in=set(tags)).select_related("animal")
    return {str(side): side for side in sides}
