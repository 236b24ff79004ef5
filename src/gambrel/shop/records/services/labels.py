"""Labels: the number of a product, the line that one was printed, words on rules, what the shop prints on all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any
from uuid import UUID, uuid5

from django.db import IntegrityError, transaction
from django.db.models import Max

from gambrel.measures import Findings
from gambrel.sell.rules import Switch, check_switches
from gambrel.shop.clock import now
from gambrel.shop.records.models import Item, Pack, PackEnd, Person, RuleWord, ShopProfile
from gambrel.shop.records.services.packs import happened
from gambrel.shop.records.services.trail import record


@transaction.atomic
def item_of(slug: str, species: str) -> Item:
    """The number of a product; the next that is free where it has none yet."""
    there = Item.objects.filter(slug=slug, species=species).first()
    if there is not None:
        return there
    newest = Item.objects.aggregate(newest=Max("number"))["newest"] or 0
    try:
        with transaction.atomic():
            return Item.objects.create(number=newest + 1, slug=slug, species=species)
    except IntegrityError:
        return item_of(slug, species)  # two labels at once


def number_items(packs: Iterable[Pack]) -> None:
    """Every product of these packs has its number."""
    for slug, species in {(one.slug, one.lot.species) for one in packs}:
        item_of(slug, species)


@transaction.atomic
def printed(packs: Iterable[Pack], *, key: UUID, by: Person | None, size: str) -> None:
    """A line for each pack whose label was printed."""
    at = now()
    for one in packs:
        happened(one, PackEnd.LABELLED, key=uuid5(key, f"{one.pk}"), at=at, by=by, why=size)


@transaction.atomic
def say_of_rule(slug: str, *, on: bool, who: str, why: str, since: date, by: Person | None) -> RuleWord:
    """Somebody's word that a rule holds or does not; `CannotDo` without a name or a reason."""
    findings = Findings(check_switches([Switch(slug, on, who, why, since)]))
    findings.stop_if_any()
    line = RuleWord.objects.create(slug=slug, on=on, who=who, why=why, since=since, at=now(), by=by)
    record(by, "switched a rule on" if on else "switched a rule off", line,
           after={"rule": slug, "who": who, "since": f"{since}"}, why=why)  # fmt: skip
    return line


@transaction.atomic
def save_label_shop(shop: ShopProfile, fields: Mapping[str, Any], *, by: Person | None) -> ShopProfile:
    """What stands on every label: place of business, numbers, country, stock."""
    before = {name: getattr(shop, name) for name in fields}
    for name, value in fields.items():
        setattr(shop, name, value)
    shop.save()
    record(by, "changed what labels say", shop, before=before, after=dict(fields))
    return shop
