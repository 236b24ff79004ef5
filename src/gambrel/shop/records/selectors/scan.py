"""Which packs a scanned code or a typed number means."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from gambrel.measures import CannotDo, Finding
from gambrel.sell.pack_code import read_scanned
from gambrel.sell.price_code import LAYOUTS, read_in_store
from gambrel.shop.records.models import Item, Lot, OnHand, Pack, ShopProfile
from gambrel.shop.records.pack_money import SERIAL_MARK, asked_cents

LONGEST = 200
MOST_OF_A_LOT = 50
LARGEST_NUMBER = 2**63 - 1
_NUMBER = re.compile(r"(?:(?P<lot>[\w-]{2,20})/)?[#Pp]?(?P<pack>\d{1,18})", re.ASCII)
_AGAIN = "Scan it again, or type the pack's number."


@dataclass(frozen=True, slots=True)
class Meant:
    """`packs` that a code may mean: one where it names it, several where it says only product and price, or a lot."""

    text: str
    packs: tuple[Pack, ...]


def packs_meant(text: str, shop: ShopProfile, *, today: date) -> Meant:
    """What was scanned or typed: the pack's own code, its number, lot and number, the till's code, or a lot.

    `CannotDo` where it means nothing here.
    """
    text = text.strip()[:LONGEST]
    if (number := _NUMBER.fullmatch(text)) is not None:
        found = _numbered(number["pack"], number["lot"] or "")
        if found is not None:
            return Meant(text, (found,))
    # A scanner's control characters stand in no lot's code, and PostgreSQL takes no NUL to look for.
    may_be_lot = len(text) <= 20 and text.isprintable()
    lot = Lot.objects.filter(code__in=(text, text.upper())).first() if may_be_lot else None
    if lot is not None:
        here = OnHand.objects.filter(lot=lot).select_related("pack__lot").order_by("pack_id")[:MOST_OF_A_LOT]
        return Meant(text, tuple(one.pack for one in here))
    layout = LAYOUTS.get(shop.code_layout)
    if layout is not None and text.isascii() and text.isdigit():
        return Meant(text, _of_till_code(text, shop))
    said = read_scanned(text, today=today)
    serial = said.serial.removeprefix(SERIAL_MARK)
    found = _numbered(serial, said.lot) if serial != said.serial else None
    if found is None:
        raise CannotDo([Finding("code", text, "a pack of this shop", _AGAIN)])
    return Meant(text, (found,))


def _numbered(serial: str, lot: str) -> Pack | None:
    """The pack of this number; where the lot is said too it must be of it."""
    if not serial.isascii() or not serial.isdigit() or int(serial) > LARGEST_NUMBER:
        return None
    pack = Pack.objects.select_related("lot").filter(pk=int(serial)).first()
    return None if pack is None or (lot and pack.lot.code.lower() != lot.lower()) else pack


def _of_till_code(text: str, shop: ShopProfile) -> tuple[Pack, ...]:
    """Packs on hand of the item that ask this price: the code names no single pack."""
    said = read_in_store(text, LAYOUTS[shop.code_layout])
    item = Item.objects.filter(number=int(said.item)).first()
    if item is None:
        raise CannotDo([Finding("code", text, "a product that has a number here", _AGAIN)])
    rows = OnHand.objects.filter(slug=item.slug, lot__species=item.species).select_related("pack__lot")
    if LAYOUTS[shop.code_layout].measure != "price_cents":
        return tuple(one.pack for one in rows.order_by("use_by", "pack_id")[:MOST_OF_A_LOT])
    same = (
        one.pack for one in rows.order_by("use_by", "pack_id") if asked_cents(one.pack, shop) == said.value
    )
    return tuple(same)[:MOST_OF_A_LOT]


def packs_of_lines(text: str, shop: ShopProfile, *, today: date) -> tuple[list[Pack], list[Finding]]:
    """One code a line, as a scanner types them: the packs they name, and what could not be understood."""
    packs: dict[int, Pack] = {}
    findings: list[Finding] = []
    for number, line in enumerate(_lines(text), 1):
        try:
            meant = packs_meant(line, shop, today=today).packs
        except CannotDo as refusal:
            findings.extend(refusal.findings)
            continue
        if len(meant) == 1:
            packs[meant[0].pk] = meant[0]
        else:
            findings.append(
                Finding(f"line {number}", line[:40], "one pack", "Type the number that stands on the pack.")
            )
    return list(packs.values()), findings


def _lines(text: str) -> Iterable[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]
