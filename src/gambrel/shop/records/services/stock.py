"""A count of the shelf: what was found, what was not, and what lay elsewhere than the records said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID, uuid5

from django.db import transaction

from gambrel.measures import CannotDo, Finding
from gambrel.shop.records.models import OnHand, Pack, PackEnd, Person, Place
from gambrel.shop.records.selectors.stock import MOST_COUNTED, to_count
from gambrel.shop.records.services.packs import happened


@dataclass(frozen=True, slots=True)
class Count:
    """Packs by what the count makes of them."""

    there: tuple[Pack, ...]
    missing: tuple[Pack, ...]
    moved: tuple[Pack, ...]
    found: tuple[Pack, ...]

    @property
    def missing_kg(self) -> float:
        return sum(float(one.net_kg) for one in self.missing)


def look(place: str, slug: str, packs: Iterable[Pack]) -> Count:
    """What a count would change; nothing is kept. `CannotDo` where there is too much to name every pack."""
    if place not in Place.values:
        raise CannotDo([Finding("count", place[:20], "a place of the shop", "Choose it from the list.")])
    expected = [one.pack for one in to_count(place, slug)[: MOST_COUNTED + 1]]
    if len(expected) > MOST_COUNTED:
        raise CannotDo([Finding("count", f"more than {MOST_COUNTED} packs", "one product at a time",
                                "Choose a product.")])  # fmt: skip
    seen = {one.pk: one for one in packs}
    here = dict(OnHand.objects.filter(pack__in=list(seen)).values_list("pack_id", "place"))
    return Count(
        there=tuple(one for pk, one in seen.items() if here.get(pk) == place),
        missing=tuple(one for one in expected if one.pk not in seen),
        moved=tuple(one for pk, one in seen.items() if here.get(pk, place) != place),
        found=tuple(one for pk, one in seen.items() if pk not in here),
    )


@transaction.atomic
def count(
    place: str, slug: str, packs: Iterable[Pack], *, key: UUID, at: datetime, by: Person | None
) -> Count:
    """The count is kept, a line a pack. Sent again with the same `key` it changes nothing."""
    made = look(place, slug, packs)
    for what, ones, where in (
        (PackEnd.COUNTED, made.there, place), (PackEnd.MISSING, made.missing, ""),
        (PackEnd.MOVED, made.moved, place), (PackEnd.FOUND, made.found, place),
    ):  # fmt: skip
        for one in ones:
            happened(one, what, key=uuid5(key, str(one.pk)), at=at, by=by, place=where, why="count")
    return made
