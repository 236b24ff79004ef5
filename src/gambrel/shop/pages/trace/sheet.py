"""The recall sheet of what was traced: what is here, who has the rest, what all of it was made of."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime

from django.utils import timezone

from gambrel.catalog.cuts import shipped_cuts
from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.recall import RecallPart, recall_pdf
from gambrel.measures.units import lb_from_kg
from gambrel.shop.records.models import ShopProfile
from gambrel.shop.records.selectors.trace import PackGroup, RecallPage, SideStory, TracedPack, grouped

NOTES = (
    "Tell the inspector in charge and the agency as your recall plan says, within 24 hours of learning that bad or "
    "misbranded meat went out (9 CFR 418.2, from memory).",
    "This sheet is the shop's own record, not an official notice. The agency decides what is recalled.",
)
PLACES = {"case": "case", "freezer": "freezer", "ageing": "dry-ageing room"}
PACK_COLUMNS = ("product", "lot", "packs", "net", "where or when", "numbers")


def sheet_of(page: RecallPage, shop: ShopProfile, *, made_on: date, paper: str) -> bytes:
    """What is here, who has the rest, and what all of it was made of."""
    named = page.named_share
    facts = (
        ("asked about", page.asked), ("lots", ", ".join(lot.code for lot in page.lots)),
        ("packs in all", f"{page.count}, {_weight(page.weight_kg)}"),
        ("still here", f"{len(page.here)}, {_weight(page.here_kg)}"),
        ("sold", f"{page.sold_count}, {_weight(page.sold_kg)}"),
        ("of those, buyer known", "nothing sold" if named is None else f"{100 * named:.0f} %"),
    )  # fmt: skip
    buyers = tuple(
        (f"{customer.name} {customer.contact}".strip(), *line)
        for customer, packs in page.named
        for line in _lines(packs)
    )
    parts = (
        RecallPart("Take these out of sale", PACK_COLUMNS, _lines(page.here)),
        RecallPart("Buyers to be told", ("buyer", *PACK_COLUMNS), buyers),
        RecallPart("Shares of these animals: tell these people too", ("who", "animal", "share", "taken home"),
                   _shares(page)),
        RecallPart("Sold over the counter, buyer not known", PACK_COLUMNS, _lines(page.unnamed)),
        RecallPart("Thrown away, eaten in the shop or not found", PACK_COLUMNS, _lines(page.lost)),
        RecallPart("Made of", ("lot", "animal", "supplier", "killed", "plant", "cut", "hung in"),
                   tuple(_side(side) for side in page.sides)),
        RecallPart("Batches ground", ("batch", "name", "ground", "cleaned before"), _batches(page)),
        RecallPart("Trim bought", ("plant and lot",), tuple((box,) for box in page.boxes)),
    )  # fmt: skip
    head = Head(shop.name, f"Recall sheet: {page.asked}", made_on)
    return recall_pdf(head, facts, parts, notes=NOTES, paper=paper)


def _batches(page: RecallPage) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            one.code,
            one.name,
            _when(one.begun_at),
            _when(one.clean_up.at) if one.clean_up else "no clean-up on record",
        )
        for one in page.batches
    )


def _shares(page: RecallPage) -> tuple[tuple[str, ...], ...]:
    """Whoever takes part of these animals home without a sale at the counter."""
    shares = tuple(
        (f"{one.customer.name} {one.customer.contact}".strip(), one.animal.tag, one.portion,
         f"{one.handed_on}, {_weight(float(one.taken_kg or 0))}" if one.handed_on else "not handed over yet")
        for one in page.shares
    )  # fmt: skip
    return shares + tuple((name, "", "own animal", "") for name in page.owners)


def _lines(packs: Iterable[TracedPack]) -> tuple[tuple[str, ...], ...]:
    """A line for each product and lot in one place, or that went the same way, with every number."""
    return tuple(
        (shipped_cuts()[group.slug].shop_name(group.lot.species), group.lot.code, f"{len(group.packs)}",
         _weight(group.weight_kg), _where(group), group.numbers)
        for group in grouped(packs)
    )  # fmt: skip


def _where(group: PackGroup) -> str:
    if group.times is None:
        return PLACES.get(group.where, "")
    first, last = (_when(at) for at in group.times)
    return f"{group.where} {first}" if first == last else f"{group.where} {first} to {last}"


def _side(side: SideStory) -> tuple[str, ...]:
    cutting, animal = side.lot.cutting, side.animal
    cut = "" if cutting is None else f"{_when(cutting.begun_at)} {cutting.begun_by or ''}".strip()
    return (side.lot.code, animal.tag, animal.supplier.name if animal.supplier else "", f"{animal.killed_on}",
            animal.killed_at_plant, cut, "; ".join(side.rooms))  # fmt: skip


def _when(at: datetime) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"


def _weight(weight_kg: float) -> str:
    return f"{weight_kg:.2f} kg, {lb_from_kg(weight_kg):.2f} lb"
