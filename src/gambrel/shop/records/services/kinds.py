"""The shop's own kinds: a row that leans on one of the four and says what is different; each change is in the trail."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils.text import slugify

from gambrel.catalog.kinds import Kind, read_kinds, shipped_kinds
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.shop.records.models import Animal, Demand, Order, OrderState, OwnKind, Person, ShopProfile
from gambrel.shop.records.services.trail import record

LONGEST_SLUG = 40


@transaction.atomic
def save_kind(fields: Mapping[str, Any], *, by: Person | None, row: OwnKind | None = None) -> OwnKind:
    """A kind that leans on the shipped one named by `like`, new or changed; `CannotDo` with all that is wrong.

    `fields` are those of a kinds file. What a kind is called by in the records is made from its first name and stays.
    """
    slug = row.slug if row else slugify(str(fields["name"]))[:LONGEST_SLUG]
    findings = Findings()
    if not slug:
        findings.add("name", fields["name"], "a name with letters", "Call it something that can be said.")
    others = {one.slug: str(one.fields.get("name", "")) for one in OwnKind.objects.exclude(slug=slug)}
    others |= {one.slug: one.name for one in shipped_kinds().values()}
    taken = {name.casefold() for name in others.values()} | others.keys()
    if str(fields["name"]).casefold() in taken or (
        row is None and OwnKind.objects.filter(slug=slug).exists()
    ):
        findings.add("name", fields["name"], "a name that no other kind has", "Choose another name.")
    read_kinds({slug: dict(fields)}, shipped_kinds(), findings)
    findings.stop_if_any()
    before = dict(row.fields) if row else None
    row = row or OwnKind(slug=slug)
    row.fields = dict(fields)
    row.save()
    record(by, "changed a kind" if before else "added a kind", row, before=before, after=row.fields)
    if before is None:
        _offer(slug)
    return row


@transaction.atomic
def remove_kind(row: OwnKind, *, by: Person | None) -> None:
    """A kind that nothing is of and nothing is sold or promised from; `CannotDo` otherwise."""
    used = {
        "animals": Animal.objects.filter(kind=row.slug).exists(),
        "what sells": any(row.slug in one.kinds for one in Demand.objects.all()),
        "open orders": any(row.slug in one.kinds for one in Order.objects.filter(state=OrderState.OPEN)),
    }
    if where := [name for name, is_used in used.items() if is_used]:
        raise CannotDo([Finding(f"kind {row.slug}", f"in use: {', '.join(where)}", "a kind that nothing is of",
                                "Leave it; take it off the kinds that come here instead.")])  # fmt: skip
    record(by, "took out a kind", row, before=dict(row.fields))
    shop = ShopProfile.objects.get()
    shop.kinds_used = [slug for slug in shop.kinds_used if slug != row.slug]
    shop.save(update_fields=("kinds_used",))
    row.delete()


def _offer(slug: str) -> None:
    """A new kind comes here: where the owner has named the kinds, it is one of them."""
    shop = ShopProfile.objects.get()
    if shop.kinds_used:
        shop.kinds_used = [*shop.kinds_used, slug]
        shop.save(update_fields=("kinds_used",))


def kind_named(row: OwnKind) -> Kind:
    """The whole kind that a row makes with the one it leans on."""
    return read_kinds({row.slug: row.fields}, shipped_kinds(), Findings())[row.slug]
