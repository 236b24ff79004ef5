"""Over the counter: a pack sold at what its label asks or for another sum with a reason, and one that comes back."""

from __future__ import annotations

from uuid import UUID, uuid5

from django.db import transaction

from gambrel.measures import Findings
from gambrel.measures.money import show_money
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Customer,
    OnHand,
    Pack,
    PackEnd,
    PackEvent,
    Person,
    Place,
    ShopProfile,
)  # fmt: skip
from gambrel.shop.records.pack_money import asked_cents
from gambrel.shop.records.services.packs import happened

MOST_CENTS = 1_000_000_00


@transaction.atomic
def sell(
    pack: Pack, shop: ShopProfile, *, key: UUID, ticket: UUID, by: Person | None, cents: int | None = None,
    why: str = "", customer: Customer | None = None,
) -> PackEvent:  # fmt: skip
    """Sold for what the label asks, or for `cents` where something else was agreed, which needs its reason.

    The same `key` sells the same pack once; with another pack it is another sale, because a scanner may be faster
    than a page. What is past its date is not sold, unless it was frozen in time and lies in the freezer.
    """
    key = uuid5(key, f"sold {pack.pk}")
    pack = Pack.objects.select_for_update().get(pk=pack.pk)
    if (there := PackEvent.objects.filter(key=key).first()) is not None:
        return there
    asked = asked_cents(pack, shop)
    for_cents = asked if cents is None else cents
    findings, where = Findings(), f"pack {pack.pk}"
    here = OnHand.objects.filter(pack=pack).first()
    if for_cents is None:
        findings.add(where, "no price on it", "a price", "Say what it is sold for, and why.")
    elif not 0 <= for_cents <= MOST_CENTS:
        findings.add(where, show_money(for_cents), "a price from nothing up", "Look at the price.")
    other = cents is not None and cents != asked
    if other and not why.strip():
        findings.add(where, f"{show_money(cents or 0)} instead of what the label asks", "a reason",
                     "Write down why, so that next month knows.")  # fmt: skip
    frozen = here is not None and here.place == Place.FREEZER
    if pack.use_by is not None and pack.use_by < today() and not frozen:
        findings.add(where, f"to be used by {pack.use_by}", "a pack within its date",
                     "Lay it aside: the shop's food-safety plan says what becomes of it.")  # fmt: skip
    findings.stop_if_any()
    assert for_cents is not None
    return happened(
        pack, PackEnd.SOLD, key=key, at=now(), by=by, cents=for_cents, why=why.strip(), customer=customer,
        ticket=ticket, asked_cents=asked if other else None,
    )  # fmt: skip


@transaction.atomic
def take_back(
    pack: Pack,
    *,
    key: UUID,
    ticket: UUID,
    by: Person | None,
    why: str,
    sell_again: bool,
    place: str = Place.CASE,
) -> PackEvent:
    """A sold pack comes back and its money is given back, which the line says. It is thrown away, or sold again.

    Meat that has left the cold of the shop is thrown away unless its food-safety plan says otherwise: practice.
    """
    key = uuid5(key, f"returned {pack.pk}")
    pack = Pack.objects.select_for_update().get(
        pk=pack.pk
    )  # two who bring it back at once get its money back once
    if (there := PackEvent.objects.filter(key=key).first()) is not None:
        return there
    findings = Findings()
    last = pack.events.exclude(what__in=(PackEnd.LABELLED, PackEnd.COUNTED)).order_by("-at", "-pk").first()
    if last is None or last.what != PackEnd.SOLD:
        findings.add(f"pack {pack.pk}", "not sold", "a pack that was sold here", "Look at its number again.")
    if not why.strip():
        findings.add(
            f"pack {pack.pk}", "no reason", "why it came back", "Write down why, so that next month knows."
        )
    findings.stop_if_any()
    assert last is not None
    at = now()
    line = happened(pack, PackEnd.RETURNED, key=key, at=at, by=by, cents=last.cents, why=why.strip(), place=place,
                    customer=last.customer, ticket=ticket)  # fmt: skip
    if not sell_again:
        happened(pack, PackEnd.SPOILED, key=uuid5(key, "thrown away"), at=at, by=by, why=why.strip())
    return line
