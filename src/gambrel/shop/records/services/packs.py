"""Packs: made from a lot, and what became of each; the one place where a pack comes to hand or leaves it."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import CannotDo, Finding
from gambrel.shop.records.models import (
    BACK,
    ENDS,
    Customer,
    Lot,
    OnHand,
    Pack,
    PackEnd,
    PackEvent,
    Packing,
    Person,
    Place,
)  # fmt: skip
from gambrel.shop.records.selectors.trace import held_lots
from gambrel.shop.records.services.once import written_once
from gambrel.shop.records.services.trail import record

MOST_PACK_KG = Decimal(1000)
"""No pack is as heavy as two sides of the largest bull."""


@transaction.atomic
def pack(
    lot: Lot, slug: str, *, net_kg: Decimal, key: UUID, at: datetime, by: Person | None,
    tare_kg: Decimal = Decimal(0), use_by: date | None = None, piece: str = "",
    packing: str = Packing.PAPER, place: str = Place.CASE, price_cents_per_kg: float | None = None,
) -> Pack:  # fmt: skip
    """A pack of one lot, laid where it is sold or kept. The same `key` sent again gives the pack that is there."""
    if (there := Pack.objects.filter(key=key).first()) is not None:
        return there
    _stop_if_no_pack(lot, slug, piece, net_kg)
    if lot.inspected == "custom" and price_cents_per_kg is not None:
        raise CannotDo([Finding(f"lot {lot.code}", "a price", "no price: the meat is its owner's",
                                "Meat killed for its owner is never sold (9 CFR 303.1).")])  # fmt: skip

    def make() -> Pack:
        made = Pack.objects.create(
            key=key, lot=lot, slug=slug, piece="" if piece == slug else piece, net_kg=net_kg, tare_kg=tare_kg,
            at=at, by=by, use_by=use_by, frozen=place == Place.FREEZER, packing=packing, place=place,
            price_cents_per_kg=price_cents_per_kg,
        )  # fmt: skip
        _lay(made, place, at)
        return made

    made, is_new = written_once(make, lambda: Pack.objects.filter(key=key).first())
    if not is_new:
        return made
    record(by, "packed", made, after={"slug": slug, "net_kg": str(net_kg), "lot": lot.code, "place": place})
    return made


@transaction.atomic
def happened(
    made: Pack, what: str, *, key: UUID, at: datetime, by: Person | None, cents: int = 0, why: str = "",
    asked_cents: int | None = None, place: str = "", customer: Customer | None = None, ticket: UUID | None = None,
) -> PackEvent:  # fmt: skip
    """Sold for so many cents, returned, spoiled, eaten, moved, counted, missed. The same `key` counts once.

    A pack that is gone can only come back first; nothing of a held lot and nothing of an owner's own is sold.
    """
    made = Pack.objects.select_for_update().select_related("lot").get(pk=made.pk)
    if (there := PackEvent.objects.filter(key=key).first()) is not None:
        return there  # looked for under the lock, so that the same line sent twice at once is one too
    here = OnHand.objects.filter(pack=made).first()
    _stop_if_it_cannot_happen(made, what, here)
    line = PackEvent.objects.create(
        pack=made, what=what, at=at, by=by, cents=cents, why=why[:200], key=key, asked_cents=asked_cents, place=place,
        customer=customer, ticket=ticket,
    )  # fmt: skip
    if what in ENDS:
        OnHand.objects.filter(pack=made).delete()
    elif what in BACK:
        _lay(made, place or made.place, at)
    elif place and here is not None:
        OnHand.objects.filter(pack=made).update(place=place, since=at)
    record(by, what, made, after={"cents": cents, **({"place": place} if place else {})}, why=why)
    return line


def is_held(lot_id: int) -> bool:
    """Whether nothing of the lot may go out now."""
    return lot_id in held_lots([lot_id])


def _lay(made: Pack, place: str, at: datetime) -> None:
    OnHand.objects.create(pack=made, lot_id=made.lot_id, slug=made.slug, species=made.lot.species,
                          net_kg=made.net_kg, use_by=made.use_by, place=place, since=at)  # fmt: skip


def _stop_if_no_pack(lot: Lot, slug: str, piece: str, net_kg: Decimal) -> None:
    if slug not in shipped_cuts() or (piece and piece not in shipped_cuts()) or not 0 < net_kg < MOST_PACK_KG:
        raise CannotDo([Finding(f"lot {lot.code}", f"{slug[:60]}, {net_kg} kg",
                                "a piece of the catalogue that weighs something",
                                "Choose the piece from the list and weigh it again.")])  # fmt: skip


def _stop_if_it_cannot_happen(made: Pack, what: str, here: OnHand | None) -> None:
    if what not in PackEnd.values or (what != PackEnd.LABELLED and (here is None) != (what in BACK)):
        raise CannotDo([Finding(f"pack {made.pk}", what[:20], "a pack on hand, or a sold one that comes back",
                                "Look at what became of this pack.")])  # fmt: skip
    if what != PackEnd.SOLD:
        return
    if made.lot.inspected == "custom":
        raise CannotDo([Finding(f"pack {made.pk}", f"sold, of {made.lot.owner_name}'s own animal",
                                "meat that was inspected", "It is never sold: hand it to its owner "
                                "(9 CFR 303.1).")])  # fmt: skip
    if is_held(made.lot_id):
        raise CannotDo([Finding(f"pack {made.pk}", f"lot {made.lot.code} is held", "a lot that may go out",
                                "Lay it aside and ask the owner; the trace page says why.")])  # fmt: skip
