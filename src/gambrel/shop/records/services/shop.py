"""The shop made at its first start, and its settings changed later; each change is in the trail."""

from __future__ import annotations

from datetime import date
from typing import Any, TypeVar

from django.db import IntegrityError, transaction
from django.db.models import Model

from gambrel.measures import CannotDo, Finding
from gambrel.shop.access import OWNER
from gambrel.shop.records.models import Person, ShopProfile
from gambrel.shop.records.services.trail import record

Record = TypeVar("Record", bound=Model)


def make_shop(*, name: str, zone: str, language: str, weight_unit: str, owner: str, password: str) -> Person:
    """The shop and its owner, once; `CannotDo` where a shop is there already."""
    try:
        with transaction.atomic():
            shop = ShopProfile.objects.create(
                name=name, zone=zone, language=language, weight_unit=weight_unit
            )
            person = Person.objects.create_person(
                owner, password, OWNER, language=language, weight_unit=weight_unit
            )
            record(person, "made the shop", shop, after={"name": name, "zone": zone, "owner": person.name})
    except IntegrityError as error:  # two people at once: the first one made it
        raise CannotDo([Finding("shop", "made already", "a shop that is not there yet",
                                "Sign in with the owner's name.")]) from error  # fmt: skip
    return person


@transaction.atomic
def change_shop(shop: ShopProfile, changes: dict[str, Any], *, by: Person | None) -> ShopProfile:
    """New values of some of the shop's settings; what is the same stays untouched."""
    return change(shop, "changed the shop", changes, by)


def change(on: Record, what: str, changes: dict[str, Any], by: Person | None) -> Record:
    """New values of some fields of a record, in the trail with what stood before; what is the same stays untouched."""
    before = {name: getattr(on, name) for name in changes}
    after = {name: value for name, value in changes.items() if before[name] != value}
    if not after:
        return on
    for name, value in after.items():
        setattr(on, name, value)
    on.save(update_fields=list(after))
    record(by, what, on, before=_said({name: before[name] for name in after}), after=_said(after))
    return on


def _said(values: dict[str, Any]) -> dict[str, Any]:
    """Values as the trail keeps them."""
    return {name: str(value) if isinstance(value, date) else value for name, value in values.items()}
