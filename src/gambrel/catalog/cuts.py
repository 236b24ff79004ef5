"""The cut catalogue: every piece and cut by slug, with its IMPS and UNECE number, bone, use and SRM rule."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib import resources

FOUR_PRIMALS = ("chuck", "rib", "loin", "round")
"""The primals whose boneless cuts the published retail-cut equation counts."""

CUT_USES = ("steak", "roast", "braise", "stew")
"""Uses sold as whole-muscle cuts, as against grind, bone, fat and offal."""


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
