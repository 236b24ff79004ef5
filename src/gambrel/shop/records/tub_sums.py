"""What is left of a tub of trim off the block: its weight less what batches took, what was packed and what was thrown.

A pack says its lot and piece, not its tub: it counts off the oldest tub of that piece in its lot. Of a tub that was
thrown away it is known what was thrown, so that the rest of it was packed before. What a batch took of a line that was
put right since counts off the line that stands for it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal

from django.db.models import Case, CharField, F, Sum, When

from gambrel.shop.records.models import BatchInput, Pack, ScaleWeight, TubEnd, TubEvent

OF_PIECE = Case(When(piece="", then=F("slug")), default=F("piece"), output_field=CharField())
"""What a pack was weighed as at the block."""
NOTHING, GRAM = Decimal(0), Decimal("0.001")

CuttingPiece = tuple[int, str]


def grams(weight_kg: Decimal | None) -> Decimal:
    """A sum of weights to the gram: SQLite adds them as binary fractions."""
    return (weight_kg or NOTHING).quantize(GRAM)


def packed_pieces(cuttings: Collection[int]) -> dict[CuttingPiece, Decimal]:
    """What was packed of each piece of these cuttings [kg]."""
    rows = Pack.objects.filter(lot__cutting__in=cuttings).annotate(of=OF_PIECE)
    sums = rows.values_list("lot__cutting", "of").annotate(kg=Sum("net_kg"))
    return {(cutting, slug): grams(kg) for cutting, slug, kg in sums}


def newest_lines(cuttings: Collection[int]) -> dict[int, ScaleWeight]:
    """For every line of these cuttings that was put right or taken out, the last line that says so."""
    newer = {line.corrects_id: line for line in ScaleWeight.objects.filter(cutting__in=cuttings, corrects__isnull=False)
             if line.corrects_id is not None}  # fmt: skip
    newest = {}
    for number in newer:
        line = newer[number]
        while line.pk in newer:
            line = newer[line.pk]
        newest[number] = line
    return newest


def ground_tubs(cuttings: Collection[int], newest: Mapping[int, ScaleWeight]) -> dict[int, Decimal]:
    """What batches took of each tub [kg], by the number of the line that stands for it now."""
    rows = BatchInput.objects.standing().filter(weight__cutting__in=cuttings)
    ground: dict[int, Decimal] = defaultdict(Decimal)
    for number, kg in rows.values_list("weight").annotate(kg=Sum("weight_kg")).order_by():
        stands = newest[number].pk if number in newest else number
        ground[stands] += grams(kg)
    return ground


def thrown_tubs(
    cuttings: Collection[int], ground: Mapping[int, Decimal]
) -> dict[int, tuple[ScaleWeight, Decimal]]:
    """Tubs that were thrown away, with what was thrown of each [kg]; whatever was left where the line does not say."""
    lines = TubEvent.objects.filter(what=TubEnd.THROWN, weight__cutting__in=cuttings)
    thrown = {}
    for line in lines.filter(weight__corrected_by__isnull=True).select_related("weight"):
        tub = line.weight
        assert tub is not None
        left = max(NOTHING, tub.weight_kg - ground.get(tub.pk, NOTHING))
        thrown[tub.pk] = (tub, left if line.weight_kg is None else min(left, line.weight_kg))
    return thrown


def left_in_tubs(tubs: Iterable[ScaleWeight]) -> dict[int, Decimal]:
    """What is left of each tub [kg], by number; given are all tubs of a piece of a cutting that were not thrown away.

    Below nothing where more was ground or packed of it than it weighed. Four queries.
    """
    rows = sorted(tubs, key=lambda row: (row.at, row.pk))
    cuttings = {row.cutting_id for row in rows}
    if not cuttings:
        return {}
    ground = ground_tubs(cuttings, newest_lines(cuttings))
    packed = defaultdict(Decimal, packed_pieces(cuttings))
    for number, (tub, thrown_kg) in thrown_tubs(cuttings, ground).items():
        packed[tub.cutting_id, tub.slug] -= tub.weight_kg - ground.get(number, NOTHING) - thrown_kg
    left: dict[int, Decimal] = {}
    for row in rows:
        piece = (row.cutting_id, row.slug)
        unground = row.weight_kg - ground.get(row.pk, NOTHING)
        off = max(NOTHING, min(packed[piece], unground))
        packed[piece] -= off
        left[row.pk] = unground - off
    return left
