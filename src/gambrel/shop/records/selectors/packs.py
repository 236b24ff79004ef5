"""What is to be packed of each lot, what was packed of it, and how the next pack would be."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, Sum

from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.sell.shelf_life import keeps, use_of
from gambrel.shop.records.list_prices import ListPrices, list_prices
from gambrel.shop.records.models import Demand, Lot, Pack, PackEnd, Place, ScaleWeight

LOOK_BACK_DAYS = 21
"""Lots are packed within days of the cutting; older ones are found by their code."""
MOST_PACKS = 200
DUST_KG = 0.05
"""Less than this left of a piece is drip and the scale's digits."""
_COUNT = Count("pk")
GROUPS = ("cuts", "ground", "trim", "bone", "fat")


@dataclass(frozen=True, slots=True)
class PieceLeft:
    """One piece of a lot: weighed at the block, packed since [kg]. `price_cents_per_kg` is what the list asks."""

    slug: str
    group: str
    weighed_kg: float
    packed_kg: float
    packs_count: int
    price_cents_per_kg: float | None

    @property
    def left_kg(self) -> float:
        return self.weighed_kg - self.packed_kg

    @property
    def is_done(self) -> bool:
        return self.left_kg < DUST_KG

    @property
    def is_over(self) -> bool:
        """More was packed than was weighed: a scale or a piece is wrong."""
        return self.left_kg < -DUST_KG


@dataclass(frozen=True, slots=True)
class LotToPack:
    lot: Lot
    weighed_kg: float
    packed_kg: float
    packs_count: int

    @property
    def left_kg(self) -> float:
        return max(0.0, self.weighed_kg - self.packed_kg)


@dataclass(frozen=True, slots=True)
class PackLotPage:
    """A lot on the packing table, piece by piece, with its newest packs."""

    lot: Lot
    pieces: tuple[PieceLeft, ...]
    packs: tuple[Pack, ...]
    prices: ListPrices

    @property
    def groups(self) -> tuple[tuple[str, tuple[PieceLeft, ...]], ...]:
        found = [(group, tuple(one for one in self.pieces if one.group == group)) for group in GROUPS]
        return tuple((group, pieces) for group, pieces in found if pieces)

    def piece(self, slug: str) -> PieceLeft | None:
        return next((one for one in self.pieces if one.slug == slug), None)

    @property
    def is_custom(self) -> bool:
        return self.lot.inspected == "custom"


def lots_to_pack(today: date) -> list[LotToPack]:
    """Lots of the last weeks, newest first, with what was weighed of them and what is packed. Three queries."""
    rows = Lot.objects.filter(made_on__gte=today - timedelta(days=LOOK_BACK_DAYS))
    lots = list(rows.select_related("cutting__side__animal", "batch").order_by("-made_on", "-pk"))
    weighed = (
        ScaleWeight.objects.standing()
        .filter(cutting__in=[lot.cutting_id for lot in lots if lot.cutting_id is not None])
        .values_list("cutting")
        .annotate(Sum("weight_kg"))
    )
    weighed_kg = {cutting: float(kg) for cutting, kg in weighed}
    packed = {
        row["lot"]: (float(row["kg"]), row["count"])
        for row in Pack.objects.filter(lot__in=lots).values("lot").annotate(kg=Sum("net_kg"), count=_COUNT)
    }
    return [LotToPack(lot, _weighed_of(lot, weighed_kg), *packed.get(lot.pk, (0.0, 0))) for lot in lots]


def pack_lot_page(lot: Lot) -> PackLotPage:
    """One lot, in six queries however much was packed of it."""
    weighed: dict[str, float] = {}
    if lot.cutting_id is not None:
        rows = (
            ScaleWeight.objects.standing()
            .filter(cutting=lot.cutting_id)
            .values_list("slug")
            .annotate(Sum("weight_kg"))
        )
        weighed = {slug: float(kg) for slug, kg in rows}
    elif lot.batch is not None and lot.batch.out_kg is not None:
        weighed = {ground_slug(lot): float(lot.batch.out_kg)}
    packed: dict[str, tuple[float, int]] = defaultdict(lambda: (0.0, 0))
    sums = Pack.objects.filter(lot=lot).values("slug", "piece").annotate(kg=Sum("net_kg"), count=_COUNT)
    for row in sums:
        slug = row["piece"] or row["slug"]
        kg, count = packed[slug]
        packed[slug] = (kg + float(row["kg"]), count + row["count"])
    prices = list_prices(lot.kind)
    pieces = [
        PieceLeft(slug, _group(slug), weighed.get(slug, 0.0), *packed[slug], price_of(prices, slug, lot))
        for slug in sorted({*weighed, *packed}, key=lambda slug: (GROUPS.index(_group(slug)), slug))
    ]
    packs = Pack.objects.filter(lot=lot).select_related("by", "on_hand").order_by("-pk")[:MOST_PACKS]
    return PackLotPage(lot, tuple(pieces), tuple(packs), prices)


def packs_to_label(lot: Lot, *, again: bool) -> list[Pack]:
    """Packs of a lot that are on hand, those without a label first made first; with `again` those with one too."""
    rows = Pack.objects.filter(lot=lot, on_hand__isnull=False)
    if not again:
        rows = rows.exclude(events__what=PackEnd.LABELLED)
    return list(
        rows.select_related("lot__cutting__side__animal", "lot__batch__clean_up").order_by("pk")[:MOST_PACKS]
    )


def price_of(prices: ListPrices, slug: str, lot: Lot) -> float | None:
    """What the list asks for this piece of this lot [cents/kg]; None where it asks nothing, or nothing may be asked."""
    if lot.inspected == "custom":
        return None
    cut = shipped_cuts().get(slug)
    if slug not in prices.cuts and lot.batch is not None and cut is not None and cut.use == "grind":
        return prices.of_trims(lot.batch.lean_pct)
    return prices.cuts.get(slug)


def keeps_until(lot: Lot, slug: str, *, packing: str, place: str, packed_on: date) -> date:
    """The day that a label says: what the shop says of this product in the case, else the table of shelf lives."""
    cut = shipped_cuts()[slug]
    published = keeps(use_of(cut), packing=packing, frozen=place == Place.FREEZER).until(packed_on)
    days = [row.shelf_days for row in Demand.objects.filter(slug=slug) if lot.kind in row.kinds]
    return packed_on + timedelta(days=min(days)) if days and place == Place.CASE else published


def ground_slug(lot: Lot) -> str:
    """What a batch is packed as: its own name, where the catalogue has it, or by its lean point."""
    assert lot.batch is not None
    by_lean = f"{lot.batch.name}-{round(lot.batch.lean_pct)}"
    return next((slug for slug in (by_lean, lot.batch.name) if slug in shipped_cuts()), "ground-beef")


def _weighed_of(lot: Lot, weighed_kg: dict[int, float]) -> float:
    if lot.batch is not None:
        return float(lot.batch.out_kg or 0)
    return weighed_kg.get(lot.cutting_id or 0, 0.0)


def _group(slug: str) -> str:
    cut = shipped_cuts().get(slug)
    if cut is None:
        return "cuts"
    return "ground" if cut.use == "grind" and cut.primal != "trim" else group_of(cut)
