"""The cut catalogue: every piece and cut by slug, with its IMPS and UNECE number, bone, use and SRM rule."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache
from importlib import resources

FOUR_PRIMALS = ("chuck", "rib", "loin", "round")
"""The primals whose boneless cuts the published retail-cut equation counts."""

CUT_USES = ("steak", "roast", "braise", "stew")
"""Uses sold as whole-muscle cuts, as against grind, bone, fat and offal."""


_HYPHENATED = ("t-bone", "bone-in", "lip-on", "tri-tip", "seven-bone", "stir-fry", "roast-ready", "large-end",
               "small-end", "two-piece", "square-cut", "country-style", "oven-prepared")  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cut:
    """One row of the catalogue. `srm` is none, 30m (not food from cattle of 30 months or more) or any."""

    slug: str
    imps: str
    unece: str
    name: str
    primal: str
    parent: str
    bone: str
    contains_vertebra: bool
    use: str
    srm: str
    species: str
    mark: str
    source: str

    def shop_name(self, species: str) -> str:
        """What the counter calls it, said of this species: "t-bone steak", "stew bison"."""
        if self.slug[-2:].isdigit():  # a lean point is said in full: trims, and ground beef by its lean
            return self.name_for(species)
        words = self.slug.replace("-", " ")
        for together in _HYPHENATED:
            words = re.sub(rf"\b{together.replace('-', ' ')}\b", together, words)
        return words if species == "cattle" else re.sub(r"\bbeef\b", species, words)

    def name_for(self, species: str) -> str:
        """The name as it may be said of meat of this species: nothing from a bison is called beef.

        Bison is named bison (or buffalo), never beef [common practice; 9 CFR 352, from memory].
        """
        return self.name if species == "cattle" else re.sub(r"\bbeef\b", species, self.name)

    @property
    def lean_pct(self) -> float | None:
        """Lean point of a trim such as trim-85 [%]; None for everything else."""
        head, _, tail = self.slug.rpartition("-")
        return float(tail) if head == "trim" and tail.isdigit() else None


@cache
def shipped_cuts() -> dict[str, Cut]:
    """The catalogue by slug, in the order of the file."""
    text = resources.files("gambrel.catalog").joinpath("data/cuts.csv").read_text("utf-8")
    cuts: dict[str, Cut] = {}
    for row in csv.DictReader(text.splitlines()):
        if row["slug"] in cuts:
            raise ValueError(f"data/cuts.csv has {row['slug']} twice")
        cuts[row["slug"]] = Cut(
            **{**row, "contains_vertebra": row["contains_vertebra"] == "yes"}  # type: ignore[arg-type]
        )
    return cuts
