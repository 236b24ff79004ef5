"""The UN/ECE meat code of a pack, from what the records know of it; what they do not know is left at "not given".

Feeding, production and quality stay not given: they are claims, and no record here supports them. There is no code
for bison, nor for what the list of cuts has no number of.
"""

from __future__ import annotations

from gambrel.catalog.cuts import shipped_cuts
from gambrel.sell.unece_code import MeatCode
from gambrel.shop.records.models import Pack, Packing, Place

CATEGORY = {"bull": "1", "bullock": "2", "steer": "3", "heifer": "4", "cow": "6"}
PACKED = {Packing.VACUUM: "5", Packing.BULK: "4", Packing.PAPER: "3", Packing.TRAY: "3"}
TRACED_TO_ANIMAL = "3"


def meat_code_of(pack: Pack, place: str) -> MeatCode | None:
    """The code of a pack that lies in `place` ("" where it is gone), or None where there is none for it."""
    cut = shipped_cuts().get(pack.slug)
    if cut is None or not cut.unece or pack.lot.species != "cattle" or pack.lot.cutting is None:
        return None
    frozen = pack.frozen or place == Place.FREEZER
    return MeatCode(
        cut=cut.unece, cold="2" if frozen else "1", category=CATEGORY[pack.lot.cutting.side.animal.sex],
        packing=PACKED[Packing(pack.packing)], conformity=TRACED_TO_ANIMAL,
    )  # fmt: skip
