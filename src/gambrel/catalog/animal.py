"""One animal's carcass as the steps see it: what was weighed, read at the rib face, or is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.catalog.kinds import SEXES, Kind
from gambrel.measures import Entry
from gambrel.measures.units import AREA, LENGTH, MASS

HOT_KG_LIMITS = (60.0, 900.0)
FAT_MM_LIMITS = (0.0, 75.0)
RIBEYE_CM2_LIMITS = (19.0, 200.0)
KPH_PCT_LIMITS = (0.0, 12.0)
MATURITIES = ("A", "B", "C", "D", "E")


@dataclass(frozen=True, slots=True)
class Animal:
    """A carcass, both sides together; None means not known.

    Extremes that are refused as slips lie outside what audits have seen (ribeye 19-124 cm2, fat 0-46 mm:
    National Beef Quality Audit, market cows and bulls, 2016) with room to spare.
    """

    kind: Kind
    sex: str
    hot_kg: float
    age_months: int | None = None
    fat_mm: float | None = None
    ribeye_cm2: float | None = None
    kph_pct: float | None = None
    marbling_score: float | None = None
    maturity: str | None = None

    @property
    def species(self) -> str:
        return self.kind.species


def read_animal(entry: Entry, kinds: Mapping[str, Kind]) -> Animal | None:
    """An `Animal` from the fields kind, sex, hot, age_months, fat, ribeye, kph, marbling and maturity.

    Every slip is a finding; None when there was any. Other fields are left for the caller.
    """
    before = len(entry.findings)
    kind_slug = entry.word("kind", kinds, required=True)
    kind = kinds.get(kind_slug or "")
    sex = entry.word("sex", kind.sexes if kind else SEXES, required=True)
    hot_kg = entry.quantity("hot", MASS, low=HOT_KG_LIMITS[0], high=HOT_KG_LIMITS[1], required=True)
    age = entry.whole("age_months", low=1, high=400)
    fat_mm = entry.quantity("fat", LENGTH, low=FAT_MM_LIMITS[0], high=FAT_MM_LIMITS[1])
    ribeye = entry.quantity("ribeye", AREA, low=RIBEYE_CM2_LIMITS[0], high=RIBEYE_CM2_LIMITS[1])
    kph_what = "a percentage of the carcass such as 2.5"
    kph = entry.number("kph", low=KPH_PCT_LIMITS[0], high=KPH_PCT_LIMITS[1], what=kph_what)
    marbling = entry.number("marbling", low=0.0, high=1000.0, what="a marbling score such as 430 (Small 30)")
    maturity = entry.word("maturity", MATURITIES)
    if kind is None or sex is None or hot_kg is None or len(entry.findings) > before:
        return None
    return Animal(kind=kind, sex=sex, hot_kg=hot_kg, age_months=age, fat_mm=fat_mm, ribeye_cm2=ribeye,
                  kph_pct=kph, marbling_score=marbling, maturity=maturity)  # fmt: skip
