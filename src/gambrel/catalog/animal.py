"""One animal's carcass as the steps see it: what was weighed, read at the rib face, or is not known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.catalog.kinds import SEXES, Kind
from gambrel.measures import Entry
from gambrel.measures.units import AREA, LENGTH, MASS
from gambrel.standards.marbling import score_of_words
from gambrel.standards.maturity import read_maturity

HOT_KG_LIMITS = (60.0, 900.0)
FAT_MM_LIMITS = (0.0, 75.0)
RIBEYE_CM2_LIMITS = (19.0, 200.0)
KPH_PCT_LIMITS = (0.0, 12.0)


@dataclass(frozen=True, slots=True)
class Animal:
    """A carcass, both sides together; None means not known.

    `maturity` is a group ("A"), a group and hundredths ("B60") or a code ("160"), as it was typed.

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


def read_animal(entry: Entry, kinds: Mapping[str, Kind], *, usual_stands_in: bool = False) -> Animal | None:
    """An `Animal` from the fields kind, sex, hot, age_months, fat, ribeye, kph, marbling and maturity.

    Every slip is a finding; None when there was any. Other fields are left for the caller. With
    `usual_stands_in` only the kind is needed: the kind's first sex and mean hot weight stand in for the rest.
    """
    before = len(entry.findings)
    kind_slug = entry.word("kind", kinds, required=True)
    kind = kinds.get(kind_slug or "")
    needed = not usual_stands_in
    sex = entry.word("sex", kind.sexes if kind else SEXES, required=needed)
    hot_kg = entry.quantity("hot", MASS, low=HOT_KG_LIMITS[0], high=HOT_KG_LIMITS[1], required=needed)
    age = entry.whole("age_months", low=1, high=400)
    fat_mm = entry.quantity("fat", LENGTH, low=FAT_MM_LIMITS[0], high=FAT_MM_LIMITS[1])
    ribeye = entry.quantity("ribeye", AREA, low=RIBEYE_CM2_LIMITS[0], high=RIBEYE_CM2_LIMITS[1])
    kph_what = "a percentage of the carcass such as 2.5"
    kph = entry.number("kph", low=KPH_PCT_LIMITS[0], high=KPH_PCT_LIMITS[1], what=kph_what)
    marbling = _marbling(entry)
    maturity = _maturity(entry)
    if usual_stands_in and kind is not None:
        sex, hot_kg = sex or kind.sexes[0], hot_kg or kind.hot_kg.mean
    if kind is None or sex is None or hot_kg is None or len(entry.findings) > before:
        return None
    return Animal(kind=kind, sex=sex, hot_kg=hot_kg, age_months=age, fat_mm=fat_mm, ribeye_cm2=ribeye,
                  kph_pct=kph, marbling_score=marbling, maturity=maturity)  # fmt: skip


def _marbling(entry: Entry) -> float | None:
    """A score such as 430, or the degree in words; a degree without its hundredths is taken at its middle."""
    raw = entry.raw("marbling")
    if isinstance(raw, str) and (by_words := score_of_words(raw)) is not None:
        return by_words[0]
    return entry.number("marbling", low=0.0, high=1000.0, what="a marbling score such as 430 or Small 30")


def _maturity(entry: Entry) -> str | None:
    raw = entry.raw("maturity")
    if not entry.has("maturity"):
        return None
    if isinstance(raw, bool) or read_maturity(raw) is None:
        entry.wrong(
            "maturity",
            raw,
            "A to E, with hundredths if they were read (B60)",
            "Give the group read at the bones.",
        )
        return None
    return str(raw).strip().upper()
