"""Lean, fat, bone and kidney fat of a side, and how they move with fat cover, ribeye and kidney fat.

The breakdown tree gives the shares of one reference animal. Another animal has more or less of each tissue;
every piece then changes by what it is made of. The lean follows the published retail-cut equation
(`standards.usda_yield.retail_cut_pct`), so that the boneless closely trimmed cuts of chuck, rib, loin and round
agree with it; kidney fat is what was weighed or read; bone follows the yield grade a little; the rest is fat.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import numpy as np
from numpy.typing import NDArray

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import Kind
from gambrel.catalog.ways import LOSS, ROOT, Tree, Way
from gambrel.measures.units import CM2_PER_IN2, KG_PER_LB, MM_PER_IN
from gambrel.standards.usda_yield import beef_yield_grade, retail_cut_pct

Floats = NDArray[np.float64]

TISSUES = ("lean", "fat", "bone", "kidney_fat")
KIDNEY_FAT = ("suet",)
_BONELESS = "boneless"
# A cut sold with its bone, when no way says what is in it: from memory.
_BONE_IN_LEAF = np.array([0.76, 0.04, 0.20, 0.0])
# Closely trimmed product holds about an eighth of fat itself, so a trim of this lean point is all product.
_PRODUCT_LEAN_PCT = 85.0


@dataclass(frozen=True, slots=True)
class FaceDraws:
    """Hot weight, fat, ribeye and kidney fat as vectors of equally likely values (draws,)."""

    hot_kg: Floats
    fat_mm: Floats
    ribeye_cm2: Floats
    kph_pct: Floats

    @property
    def ribeye_cm2_per_100kg(self) -> Floats:
        return 100.0 * self.ribeye_cm2 / self.hot_kg

    def retail_cut_pct(self) -> Floats:
        """Boneless closely trimmed cuts of the four primals by the published equation [% of carcass]."""
        return np.asarray(retail_cut_pct(**self._us_units()), dtype=np.float64)

    def yield_grade(self) -> Floats:
        """Yield grade by the published equation [-]; for bison only a measure of fatness."""
        return np.asarray(beef_yield_grade(**self._us_units()), dtype=np.float64)

    def _us_units(self) -> dict[str, Any]:
        """As the published formulas take them: they are plain arithmetic and work on vectors."""
        return {
            "fat_in": self.fat_mm / MM_PER_IN,
            "ribeye_in2": self.ribeye_cm2 / CM2_PER_IN2,
            "hot_lb": self.hot_kg / KG_PER_LB,
            "kph_pct": self.kph_pct,
        }


@cache
def figures() -> dict[str, Any]:
    """The figures of `data/tissue.toml`."""
    text = resources.files("gambrel.breakdown").joinpath("data/tissue.toml").read_text("utf-8")
    return tomllib.loads(text)


def usual_face(animal: Animal) -> FaceDraws:
    """The rib face as known, the kind's usual at this weight standing in for what is not; one value each."""
    kind = animal.kind
    fat = kind.usual_fat_mm(animal.hot_kg) if animal.fat_mm is None else animal.fat_mm
    ribeye = kind.usual_ribeye_cm2(animal.hot_kg) if animal.ribeye_cm2 is None else animal.ribeye_cm2
    kph = kind.kph_pct.mean if animal.kph_pct is None else animal.kph_pct
    return FaceDraws(*(np.array([value]) for value in (animal.hot_kg, fat, ribeye, kph)))


def draw_face(animal: Animal, draws: int, rng: np.random.Generator) -> FaceDraws:
    """As `usual_face`, with the kind's spread for what is not known."""
    usual = usual_face(animal)
    kind = animal.kind

    def drawn(known: float | None, middle: Floats, sd: float, low: float) -> Floats:
        noise = rng.standard_normal(draws)  # always drawn, so that one more known figure changes nothing else
        return np.maximum(low, middle + (sd if known is None else 0.0) * noise)

    return FaceDraws(
        hot_kg=np.full(draws, animal.hot_kg),
        fat_mm=drawn(animal.fat_mm, usual.fat_mm, kind.fat_mm.sd, 0.0),
        ribeye_cm2=drawn(animal.ribeye_cm2, usual.ribeye_cm2, kind.ribeye_cm2.sd, 20.0),
        kph_pct=drawn(animal.kph_pct, usual.kph_pct, kind.kph_pct.sd, 0.1),
    )


def reference_face(species: str) -> FaceDraws:
    """The animal whose shares stand in the ways of this species."""
    row = figures()[species]
    return FaceDraws(
        *(np.array([float(row[name])]) for name in ("hot_kg", "fat_mm", "ribeye_cm2", "kph_pct"))
    )


def tissue_factors(kind: Kind, face: FaceDraws, side: Floats, lean_noise: Floats | float = 0.0) -> Floats:
    """Factors (draws, 4) on lean, fat, bone and kidney fat of the reference side whose tissues are `side` (4,).

    `lean_noise` is the relative departure of the lean from what the rib face says. The tissues times their
    factors add to 1. Where lean, bone and kidney fat would leave less fat than any carcass has, the lean gives way.
    """
    table = figures()
    of_kind = table["kinds"].get(kind.slug) or table["kinds"][kind.like]
    row = table[kind.species]
    reference = reference_face(kind.species)
    moved = face.retail_cut_pct() / reference.retail_cut_pct() - 1.0
    grades = face.yield_grade() - reference.yield_grade()
    lean = side[0] * (1.0 + row["strength"] * moved) * (1.0 + lean_noise)
    bone = (
        side[2]
        * of_kind["bone"]
        * np.exp(-table["response"]["bone_per_yield_grade"] * row["strength"] * grades)
    )
    kidney = face.kph_pct / 100.0
    lean = np.clip(lean, 0.2, 1.0 - bone - kidney - table["response"]["fat_floor_share"])
    fat = 1.0 - lean - bone - kidney
    tissues = np.stack(np.broadcast_arrays(lean, fat, bone, kidney), axis=-1)
    return tissues / side


def lean_sd(kind: Kind) -> float:
    """What the rib face leaves unexplained of the lean, as a relative standard deviation."""
    of_kind = figures()["kinds"]
    return float((of_kind.get(kind.slug) or of_kind[kind.like])["lean_sd"])


def contents(tree: Tree, cuts: Mapping[str, Cut], species: str) -> dict[str, Floats]:
    """Tissues (4,) of every piece and leaf of the reference animal, as shares of it that add to 1.

    A piece is made of what its boneless way gives (the first way there is, where none is called so). A boneless
    piece that the boneless style leaves whole is product, bones are bone and fat is fat, whatever else could be
    made of them.
    """
    known: dict[str, Floats] = {LOSS: np.array([1.0, 0.0, 0.0, 0.0])}
    known.update((slug, np.array([0.0, 0.0, 0.0, 1.0])) for slug in KIDNEY_FAT)
    style = tree.style(_BONELESS, species) if _BONELESS in tree.styles else {}

    def look(slug: str) -> Floats:
        if slug not in known:
            way = None if _is_sold_so(slug, cuts, style) else _telling_way(tree, slug, species, style)
            if way is None:
                known[slug] = _leaf_tissue(slug, cuts)
            else:
                known[slug] = np.sum([share * look(out) for out, share in way.shares.items()], axis=0)
        return known[slug]

    look(ROOT)
    for piece in tree.ways:
        for way in tree.ways_of(piece, species).values():
            for slug in way.outputs:
                look(slug)
    return known


def _is_sold_so(slug: str, cuts: Mapping[str, Cut], style: Mapping[str, str]) -> bool:
    cut = cuts.get(slug)
    return cut is not None and (cut.use in ("bone", "fat") or (cut.bone == "out" and slug not in style))


def _telling_way(tree: Tree, piece: str, species: str, style: Mapping[str, str]) -> Way | None:
    """The way that tells what is in a piece; None for a leaf and for a piece that is sold as it is."""
    ways = {name: way for name, way in tree.ways_of(piece, species).items() if not way.is_whole}
    if not ways:
        return None
    chosen = ways.get(style.get(piece, "")) or ways.get(_BONELESS)
    return chosen or next((way for name, way in ways.items() if _BONELESS in name), next(iter(ways.values())))


def _leaf_tissue(slug: str, cuts: Mapping[str, Cut]) -> Floats:
    cut = cuts[slug]
    if cut.use == "fat":
        return np.array([0.0, 1.0, 0.0, 0.0])
    if cut.use == "bone":
        return np.array([0.0, 0.0, 1.0, 0.0])
    if cut.lean_pct is not None:
        lean = min(1.0, cut.lean_pct / _PRODUCT_LEAN_PCT)
        return np.array([lean, 1.0 - lean, 0.0, 0.0])
    return _BONE_IN_LEAF if cut.bone == "in" else np.array([1.0, 0.0, 0.0, 0.0])


def fat_left_share(cover_mm: float) -> float:
    """Share of the trimmable fat that stays on the cuts when `cover_mm` of fat is left on them [-].

    0 at no cover. Valid from 0 to 25.4 mm. [Griffin et al., 1992; see data/tissue.toml]
    """
    table = figures()["cover"]
    if not 0.0 <= cover_mm <= table["deepest_mm"]:
        raise ValueError(f"fat cover must be 0 to {table['deepest_mm']} mm, not {cover_mm}")
    return float(1.0 - np.exp(-table["falls_per_mm"] * cover_mm))
