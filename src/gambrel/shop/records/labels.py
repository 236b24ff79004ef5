"""What is known of a pack when its label is made, and the label as the shop's rules let it be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from django.utils import timezone

from gambrel.catalog.cuts import Cut, shipped_cuts
from gambrel.files.sheets.label import label_pdf
from gambrel.files.sheets.label_sizes import SIZES
from gambrel.grind.names import GROUND_NAMES
from gambrel.measures import CannotDo, Finding
from gambrel.sell.label import Label, make_label
from gambrel.sell.label_facts import Ground, LabelFacts
from gambrel.sell.pack_code import item_number
from gambrel.sell.price_code import LAYOUTS
from gambrel.sell.rules import RuleBook, Switch, rule_book
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.models import (
    Batch,
    Item,
    LeanTest,
    OnHand,
    Pack,
    PackEvent,
    Place,
    RuleWord,
    ShopProfile,
)  # fmt: skip
from gambrel.shop.records.pack_money import asked_cents, price_cents, printed_weight, serial_of
from gambrel.shop.records.selectors.block_expected import hanging_animal

GTIN_BODY_DIGITS = 12
MEAT = {"cattle": "beef"}
USUAL_SIZE = "roll-medium"
"""The smallest roll that has room for the safe handling block."""


def book_of(shop: ShopProfile, *, today: date) -> RuleBook:
    """The rules of the shop's country, with everybody's word on them."""
    words = RuleWord.objects.order_by("since", "pk")
    switches = [Switch(one.slug, one.on, one.who, one.why, one.since) for one in words]
    return rule_book(shop.country, today=today, switches=switches)


def labels_of(packs: Iterable[Pack], shop: ShopProfile, *, today: date) -> list[Label]:
    """A label for each pack. `CannotDo` names every rule that forbids one, each once."""
    book, labels = book_of(shop, today=today), []
    refused: dict[tuple[str, str], Finding] = {}
    layout = LAYOUTS.get(shop.code_layout)
    for pack in packs:
        item = Item.objects.get(slug=pack.slug, species=pack.lot.species)
        try:
            labels.append(
                make_label(facts_of(pack, item, shop, today=today), book, layout=layout,
                           item=f"{item.number:0{layout.item_count}d}" if layout else "")
            )  # fmt: skip
        except CannotDo as refusal:
            for one in refusal.findings:
                refused.setdefault((one.where, one.given), one)
    if refused:
        raise CannotDo(list(refused.values()))
    return labels


def labels_sheet(labels: Sequence[Label], shop: ShopProfile, *, made_on: date, first_place: int = 1) -> bytes:
    """The labels on the shop's stock, as PDF."""
    size = shop.label_size if shop.label_size in SIZES else USUAL_SIZE
    return label_pdf(
        labels, size=size, made_on=made_on, first_place=min(first_place, SIZES[size].places_count)
    )


def facts_of(pack: Pack, item: Item, shop: ShopProfile, *, today: date) -> LabelFacts:
    """Everything that the rules look at; the maker is nobody until the shop has said where it is."""
    lot = pack.lot
    here = OnHand.objects.filter(pack=pack).first()
    frozen = (here.place if here else pack.place) == Place.FREEZER
    once_frozen = pack.frozen or PackEvent.objects.filter(pack=pack, place=Place.FREEZER).exists()
    ground = None if lot.batch is None else _ground(lot.batch)
    name, more = (ground.name.words, ()) if ground else _names(shipped_cuts()[pack.slug], lot.species)
    return LabelFacts(
        name=name[:1].upper() + name[1:],
        species=lot.species,
        inspected=lot.inspected,
        printed=printed_weight(pack, shop),
        packed_on=timezone.localtime(pack.at).date(),
        today=today,
        lot=lot.code,
        serial=serial_of(pack),
        maker=f"{shop.name}, {shop.address}" if shop.address else "",
        owner=lot.owner_name if lot.inspected == "custom" else "",
        gtin=_gtin(item, shop),
        price_cents=price_cents(pack, shop),
        total_cents=asked_cents(pack, shop),
        use_by=pack.use_by,
        frozen=frozen,
        was_frozen=once_frozen and not frozen,
        cut=None if ground else shipped_cuts()[pack.slug],
        animals=() if lot.cutting is None else (hanging_animal(lot.cutting.side).animal,),
        srm_policy_bison=shop.srm_policy_bison,
        ground=ground,
        more_words=more,
        ingredients=_ingredients(ground),
        nutrition_exempt_why=shop.nutrition_exempt_why,
        packed_under_inspection=bool(shop.establishment) and lot.inspected != "custom",
        stock=frozenset(shop.label_stock),
    )


def _names(cut: Cut, species: str) -> tuple[str, tuple[str, ...]]:
    """What the counter calls it; of trim the lean is said only with the fat beside it [9 CFR 317.362]."""
    if cut.lean_pct is None:
        return cut.shop_name(species), ()
    return cut.shop_name(species).partition(",")[0], (
        f"{cut.lean_pct:g}% LEAN / {100 - cut.lean_pct:g}% FAT",
    )


def _ground(batch: Batch) -> Ground:
    """Fat as it was tested last, or as what went in makes it; species as they were weighed in, the larger first."""
    test = LeanTest.objects.filter(batch=batch).order_by("-at", "-pk").first()
    written = record_of(batch)
    expected = written.lean_pct
    by_trim_pct = 100.0 - (batch.lean_pct if expected is None else expected)
    return Ground(
        name_slug=batch.name,
        lean_pct=batch.lean_pct,
        fat_pct=by_trim_pct if test is None else test.fat_pct,
        species=tuple(written.species_kg) or GROUND_NAMES[batch.name].species,
        ground_on=timezone.localtime(batch.begun_at).date(),
        fat_tested=test is not None,
    )


def _ingredients(ground: Ground | None) -> tuple[str, ...]:
    """Of a mix, both meats, the larger first; of one meat there is none to list."""
    if ground is None or len(ground.species) < 2:
        return ()
    return tuple(MEAT.get(species, species) for species in ground.species)


def _gtin(item: Item, shop: ShopProfile) -> str:
    if not shop.gs1_prefix:
        return ""
    digits = GTIN_BODY_DIGITS - len(shop.gs1_prefix)
    return item_number(company_prefix=shop.gs1_prefix, item=f"{item.number:0{digits}d}")
