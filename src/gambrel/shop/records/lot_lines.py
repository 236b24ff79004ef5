"""The records of lots as lines of their balance: what went into each, and what became of it.

A lot off the block is the side as it hung, hot; what the rail took of it is loss. A lot of a batch is what was weighed
into it; what came out of the grinder neither into the tub nor into the next batch is loss.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from decimal import Decimal

from django.db.models import Q, Sum

from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.sell.lot_balance import LotLine
from gambrel.shop.records.models import Batch, BatchInput, Cutting, Lot, Pack, ScaleWeight
from gambrel.shop.records.tub_sums import (
    NOTHING,
    grams,
    ground_tubs,
    newest_lines,
    packed_pieces,
    thrown_tubs,
)

Pieces = dict[str, Decimal]


def lines_of_lots(lots: Collection[Lot]) -> list[LotLine]:
    """Lines of these lots, whose cutting with its side and whose batch are read already. Eight queries."""
    cuttings = {lot.cutting: lot.code for lot in lots if lot.cutting is not None}
    batches = {lot.batch: lot.code for lot in lots if lot.batch is not None}
    lines = [*_of_cuttings(cuttings), *_of_batches(batches)]
    bare = [lot for lot in lots if lot.cutting_id is None and lot.batch_id is None]
    if bare:
        rows = Pack.objects.filter(lot__in=bare).values_list("lot__code").annotate(kg=Sum("net_kg"))
        lines += [LotLine(code, "pack", grams(kg)) for code, kg in rows]
    return lines


def lines_of_open_batches() -> list[LotLine]:
    """Batches that are being ground: no lot yet, but trim of other lots is in them and waits to come out."""
    batches = {batch: batch.code for batch in Batch.objects.filter(lot__isnull=True)}
    return list(_of_batches(batches))


def _of_cuttings(codes: dict[Cutting, str]) -> Iterator[LotLine]:
    if not codes:
        return
    keys = {cutting.pk for cutting in codes}
    weighed: dict[int, Pieces] = defaultdict(dict)
    rows = ScaleWeight.objects.standing().filter(cutting__in=keys)
    for cutting, slug, kg in rows.values_list("cutting", "slug").annotate(kg=Sum("weight_kg")).order_by():
        weighed[cutting][slug] = grams(kg)
    packed = _by_cutting(packed_pieces(keys).items())
    newest = newest_lines(keys)
    tubs = ground_tubs(keys, newest)
    of_tub = {tub.pk: tub for tub in ScaleWeight.objects.filter(pk__in=tubs)} if tubs else {}
    ground = _by_cutting(((of_tub[pk].cutting_id, of_tub[pk].slug), kg) for pk, kg in tubs.items())
    thrown = _by_cutting(((tub.cutting_id, tub.slug), kg) for tub, kg in thrown_tubs(keys, tubs).values())
    for cutting, code in codes.items():
        hot_kg = cutting.side.hot_kg
        yield LotLine(code, "hung", hot_kg)
        yield LotLine(code, "loss", max(NOTHING, hot_kg - cutting.begun_kg))
        gone = {"pack": packed[cutting.pk], "batch": ground[cutting.pk], "thrown": thrown[cutting.pk]}
        for what, pieces in gone.items():
            yield LotLine(code, what, sum(pieces.values(), NOTHING))
        for slug, kg in weighed[cutting.pk].items():
            left = kg - sum((pieces.get(slug, NOTHING) for pieces in gone.values()), NOTHING)
            group = group_of(shipped_cuts()[slug])
            yield LotLine(code, group if group in ("bone", "fat") else "waiting", max(NOTHING, left))


def _by_cutting(sums: Iterable[tuple[tuple[int, str], Decimal]]) -> dict[int, Pieces]:
    found: dict[int, Pieces] = defaultdict(dict)
    for (cutting, slug), kg in sums:
        found[cutting][slug] = found[cutting].get(slug, NOTHING) + kg
    return found


def _of_batches(codes: dict[Batch, str]) -> Iterator[LotLine]:
    if not codes:
        return
    code_of = {batch.pk: code for batch, code in codes.items()}
    into: dict[int, Decimal] = defaultdict(Decimal)
    carried: dict[int, Decimal] = defaultdict(Decimal)
    lines = BatchInput.objects.standing().filter(Q(batch__in=code_of) | Q(carried__in=code_of))
    for target, bought, source, kg in lines.values_list("batch", "bought", "carried", "weight_kg"):
        if target in code_of:
            what = "bought" if bought else "carried-in" if source else "trim"
            into[target] += kg
            yield LotLine(code_of[target], what, kg)
        if source in code_of:
            carried[source] += kg
            yield LotLine(code_of[source], "carried-out", kg)
    packs = Pack.objects.filter(lot__batch__in=code_of).values_list("lot__batch")
    packed = {key: grams(kg) for key, kg in packs.annotate(kg=Sum("net_kg"))}
    for batch, code in codes.items():
        packed_kg = packed.get(batch.pk, NOTHING)
        yield LotLine(code, "pack", packed_kg)
        out_kg = into[batch.pk] if batch.out_kg is None else batch.out_kg
        yield LotLine(code, "waiting", max(NOTHING, out_kg - packed_kg))
        yield LotLine(code, "loss", max(NOTHING, into[batch.pk] - out_kg - carried[batch.pk]))
