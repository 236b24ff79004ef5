"""A batch of the records as the values of the grinder's own step: the product asked for and the record of it."""

from __future__ import annotations

from django.utils import timezone

from gambrel.grind import GroundProduct
from gambrel.grind.names import GROUND_NAMES
from gambrel.grind.record import GrindingRecord, Material
from gambrel.shop.records.batch_species import contents_of, standing_inputs
from gambrel.shop.records.models import Batch, BatchInput


def product_of(batch: Batch) -> GroundProduct:
    """What the batch is to become."""
    name = GROUND_NAMES[batch.name]
    first = 50.0 if name.is_mixed else None
    return GroundProduct(batch.code, name, batch.lean_pct, inspected=batch.inspected, owner=batch.owner_name,
                         first_species_pct=first)  # fmt: skip


def record_of(batch: Batch, lines: list[BatchInput] | None = None) -> GrindingRecord:
    """The grinding record, out of the lines that stand. Times are in the shop's zone."""
    lines = standing_inputs(batch) if lines is None else lines
    cleaned = batch.clean_up
    return GrindingRecord(
        code=batch.code,
        product=GROUND_NAMES[batch.name].words,
        stated_lean_pct=batch.lean_pct,
        materials=tuple(map(material_of, lines)),
        made_at=timezone.localtime(batch.begun_at),
        cleaned_at=timezone.localtime(cleaned.at) if cleaned else None,
    )


def material_of(line: BatchInput) -> Material:
    """Trim of the shop's own has the plant that killed it, and the cutting's lot and day."""
    weight_kg = float(line.weight_kg)
    if line.carried is not None:
        held = contents_of(line.carried)
        return Material(
            f"carried over from {line.carried.code}", weight_kg, line.lean_pct, held.shares[0][0], "",
            line.carried.code, timezone.localtime(line.carried.begun_at).date(), carried_from=line.carried.code,
            mixed=held.mixed,
        )  # fmt: skip
    if line.bought is not None:
        box = line.bought
        return Material(box.slug, weight_kg, line.lean_pct, box.species, box.establishment, box.supplier_lot,
                        box.made_on, own=False, where=f"box {box.supplier_lot}")  # fmt: skip
    weighed = line.weight
    assert weighed is not None, "a line has one source; the database holds it so"
    animal, lot = weighed.cutting.side.animal, next(iter(weighed.cutting.lots.all()), None)
    return Material(
        weighed.slug, weight_kg, line.lean_pct, lot.species if lot else "", animal.killed_at_plant,
        lot.code if lot else "", timezone.localtime(weighed.at).date(), where=animal.tag,
    )  # fmt: skip
