"""The record of a batch: what the rule wants written down of every lot of ground beef, and what is missing of it.

9 CFR 320.1(b)(4)(i), read: (A) the plants that supplied the material, (B) their lot numbers and production dates,
(C) the names of the materials, carry-over included, (D) date and time the lot was made, (E) date and time the
grinder and other surfaces were cleaned and sanitised. A lot is what is made between two clean-ups of the same
source materials (320.1(b)(4)(iii)). Own trim has the number of the plant that killed, and the cutting's lot and
day (from memory). Kept for a year where it was ground (320.2, 320.3(c)). Here the same is kept for every species.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from gambrel.grind.names import GroundName
from gambrel.measures import Finding

CITE = "9 CFR 320.1(b)(4)"


@dataclass(frozen=True, slots=True)
class Material:
    """One tub in a batch. `carried_from` is the batch it was left over from in the grinder, "" for trim.

    `plant` is the number of the establishment that supplied it; `lot` that plant's lot, or the cutting's own.
    `mixed` is each species with its share of the weight, where it is of more than one; empty: all is `species`.
    """

    name: str
    weight_kg: float
    lean_pct: float
    species: str
    plant: str
    lot: str
    made_on: date | None
    carried_from: str = ""
    own: bool = True
    where: str = ""
    """Where a person puts it right: the animal of own trim."""
    mixed: tuple[tuple[str, float], ...] = ()

    @property
    def species_share(self) -> dict[str, float]:
        """Every species in it and its share of the weight."""
        return dict(self.mixed) or {self.species: 1.0}


@dataclass(frozen=True, slots=True)
class GrindingRecord:
    """A batch as it is written down. `made_at` and `cleaned_at` in the shop's zone."""

    code: str
    product: str
    stated_lean_pct: float
    materials: tuple[Material, ...]
    made_at: datetime | None
    cleaned_at: datetime | None

    @property
    def in_kg(self) -> float:
        return sum(one.weight_kg for one in self.materials)

    @property
    def lean_pct(self) -> float | None:
        """Expected lean: sum(weight x lean) / sum(weight); None before anything is in."""
        if not self.materials:
            return None
        return sum(one.weight_kg * one.lean_pct for one in self.materials) / self.in_kg

    @property
    def species_kg(self) -> dict[str, float]:
        """What each species weighs in it, the most first; meat of several counts as each by its share."""
        kg: dict[str, float] = {}
        for one in self.materials:
            for species, share in one.species_share.items():
                kg[species] = kg.get(species, 0.0) + share * one.weight_kg
        return dict(sorted(kg.items(), key=lambda item: -item[1]))

    def misnamed(self, name: GroundName) -> tuple[Finding, ...]:
        """Where the name does not say what is in it: a species that is not named, or not in it, or the smaller first.

        Two species are both named, the larger share first [common practice, from memory].
        """
        if not self.materials or tuple(self.species_kg) == name.species:
            return ()
        shares = ", ".join(f"{kg:.2f} kg {species}" for species, kg in self.species_kg.items())
        return (Finding(self.code, shares, f"{' and '.join(name.species)}, the larger share first, as "
                        f"{name.words.lower()} says", "Weigh in more of what is named first, or begin it under another "
                        "name."),)  # fmt: skip

    def missing(self) -> tuple[Finding, ...]:
        """Every field that the rule wants and nobody has filled; a batch is not closed while there are any."""
        found = []
        if not self.materials:
            found.append(
                _lacks(self.code, "no material", "the names of the materials (C)", "Weigh the trim in.")
            )
        for one in self.materials:
            if one.carried_from:
                continue  # its own record has the plants and the lots; this one names it
            where = one.where or one.name
            if not one.plant:
                found.append(_lacks(where, "no plant", "the number of the plant that supplied it (A)",
                                    "Enter the plant's number with the animal or the box."))  # fmt: skip
            if not one.lot:
                found.append(
                    _lacks(where, "no lot", "the supplier's lot number (B)", "Enter it from the box.")
                )
            if one.made_on is None:
                found.append(
                    _lacks(where, "no date", "the day the material was made (B)", "Enter it from the box.")
                )
        if self.made_at is None:
            found.append(
                _lacks(self.code, "no time", "date and time the batch was made (D)", "Begin the batch.")
            )
        if self.cleaned_at is None:
            found.append(_lacks(self.code, "no clean-up", "when the grinder was cleaned and sanitised (E)",
                                "Enter the last clean-up."))  # fmt: skip
        elif self.made_at is not None and self.cleaned_at > self.made_at:
            given, made = f"cleaned {self.cleaned_at:%Y-%m-%d %H:%M}", f"{self.made_at:%Y-%m-%d %H:%M}"
            found.append(_lacks(self.code, given, f"a clean-up before {made} (E)", "Look at both times."))
        return tuple(dict.fromkeys(found))

    def sources(self) -> frozenset[tuple[str, str]]:
        """Plant and lot of everything in it: another source within the same clean-up makes another lot."""
        return frozenset((one.plant, one.lot) for one in self.materials if not one.carried_from)


def _lacks(where: str, given: str, wanted: str, do: str) -> Finding:
    return Finding(where, given, f"{wanted}, {CITE}", do)
