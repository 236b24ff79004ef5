"""People taken on, changed, switched off; what they like. Nobody is deleted: their name stands beside what they did."""

from __future__ import annotations

from django.db import transaction

from gambrel.shop.records.models import Person, ShopProfile
from gambrel.shop.records.services.trail import record


@transaction.atomic
def take_on(*, name: str, role: str, password: str, by: Person | None, shop: ShopProfile | None) -> Person:
    """Somebody who may sign in from now on, with the shop's language and unit until they choose their own."""
    likes = {"language": shop.language, "weight_unit": shop.weight_unit} if shop else {}
    person = Person.objects.create_person(name, password, role, **likes)
    record(by, "took on", person, after={"name": person.name, "role": role})
    return person


@transaction.atomic
def change(person: Person, *, role: str, is_active: bool, password: str, by: Person | None) -> Person:
    """Another role, signing in allowed or not, and a new password where one is given (which ends old sessions)."""
    before = {"role": person.role, "is_active": person.is_active}
    person.role, person.is_active = role, is_active
    if password:
        person.set_password(password)
    person.save()
    after = {"role": role, "is_active": is_active, "new_password": bool(password)}
    record(by, "changed a person", person, before=before, after=after)
    return person


def prefer(person: Person, *, language: str, weight_unit: str, theme: str) -> Person:
    """What a person likes to read; it changes nothing for others and is not in the trail."""
    person.language, person.weight_unit, person.theme = language, weight_unit, theme
    person.save(update_fields=("language", "weight_unit", "theme"))
    return person
