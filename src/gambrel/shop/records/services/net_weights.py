"""Packs of a lot weighed again: whether their labels hold, and the lot held where they do not."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from gambrel.measures import CannotDo, Finding
from gambrel.sell.short_weight import Checked, LotCheck, check_lot
from gambrel.sell.weights import DIVISIONS, net_from_record
from gambrel.shop.records.models import Lot, Pack, Person, ShopProfile
from gambrel.shop.records.pack_money import printed_weight
from gambrel.shop.records.services.trace import hold
from gambrel.shop.records.services.trail import record


@dataclass(frozen=True, slots=True)
class WeighedAgain:
    """A pack on the scale with its packing."""

    pack: Pack
    gross_kg: Decimal

    def net_kg(self, shop: ShopProfile) -> Decimal:
        """Less the dry tare that the pack was made with, in the steps of the scale that weighed it."""
        if not self.pack.tare_kg:
            return self.gross_kg
        division = DIVISIONS[shop.weight_unit]
        return (
            self.gross_kg
            - net_from_record(self.pack.tare_kg, division=division, weighed_in=shop.weight_unit).kg
        )


@transaction.atomic
def check_net_weights(
    lot: Lot, sample: Iterable[WeighedAgain], shop: ShopProfile, *, key: UUID, by: Person | None
) -> LotCheck:
    """The two tests of Handbook 133 on a sample; nothing of a lot that fails is sold until it is let go again.

    `CannotDo` for a pack of another lot, and for none at all.
    """
    found = list(sample)
    strange = [one.pack for one in found if one.pack.lot_id != lot.pk]
    if not found:
        raise CannotDo([Finding("sample", "no pack", f"packs of lot {lot.code}", "Weigh some.")])
    if strange:
        raise CannotDo([Finding(f"pack {one.pk}", f"lot {one.lot.code}", f"packs of lot {lot.code}", "Lay it back.")
                        for one in strange])  # fmt: skip
    checked = check_lot([Checked(printed_weight(one.pack, shop).kg, one.net_kg(shop)) for one in found])
    numbers = [one.pack.pk for one in found]
    after = {"packs": numbers, "mean_over_kg": f"{checked.mean_over_kg:.4f}", "short": len(checked.too_short),
             "passes": checked.passes}  # fmt: skip
    record(by, "checked net weights", lot, after=after)
    if not checked.passes:
        hold([lot], held=True, why=f"net weight: {len(checked.too_short)} of {len(found)} packs too short, mean "
             f"{checked.mean_over_kg * 1000:+.1f} g", key=key, by=by)  # fmt: skip
    return checked
