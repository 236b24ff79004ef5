"""What a style comes to when the mean shares are multiplied down the tree: totals, primals, minutes.

No forecast: the shares are those of the reference animal as they stand in the ways files. `breakdown` shifts
them by fat cover, ribeye and kidney fat.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.catalog.cuts import CUT_USES, FOUR_PRIMALS, Cut
from gambrel.catalog.ways import LOSS, ROOT, WHOLE, WORK, Tree

PRIMAL_OF_PIECE = {
    "chuck-square-cut": "chuck", "bison-hump": "chuck", "rib-primal": "rib", "short-loin": "loin",
    "sirloin-bone-in": "loin", "full-loin": "loin", "round-primal": "round", "brisket-bone-in": "brisket",
    "foreshank": "foreshank", "short-plate": "plate", "flank-primal": "flank", "suet": "suet",
    "hanging-tender": "hanging tender",
}  # fmt: skip
"""The pieces at which the primals of a side are weighed."""

GRINDING_MINUTES_PER_100KG = {"grinder": 40.0, "packer": 35.0}
"""Grinding and packing 200-250 lb takes 1 to 1.5 man-hours, from memory."""


@dataclass(frozen=True, slots=True)
class Totals:
    """Shares of the side: they add to 1. `four_primal_cuts_share` is a part of `saleable_share`."""

    saleable_share: float
    ground_share: float
    fat_share: float
    bone_share: float
    loss_share: float
    four_primal_cuts_share: float


def leaf_shares(tree: Tree, chosen: Mapping[str, str], species: str, *, root: str = ROOT) -> dict[str, float]:
    """Share of the side (or of `root`) of all that is left at the end, the loss among it; they add to 1."""
    amounts = _amounts(tree, chosen, species, root)
    broken = {way.piece for way in tree.reached(chosen, species, root=root)}
    return {slug: share for slug, share in amounts.items() if slug not in broken}


def primal_shares(tree: Tree, chosen: Mapping[str, str], species: str) -> dict[str, float]:
    """Share of the side by primal as it comes off the quarters, before anything is boned or trimmed."""
    amounts = _amounts(tree, chosen, species, ROOT)
    shares: dict[str, float] = {}
    for piece, share in amounts.items():
        if piece in PRIMAL_OF_PIECE and not _under_another_primal(tree, chosen, species, piece):
            primal = PRIMAL_OF_PIECE[piece]
            shares[primal] = shares.get(primal, 0.0) + share
    return shares


def totals(tree: Tree, cuts: Mapping[str, Cut], chosen: Mapping[str, str], species: str) -> Totals:
    """Saleable food, ground among it, fat, bone and loss as shares of the side.

    Saleable are the whole-muscle cuts and the trims; bones and fat are counted apart even where they sell.
    Raises `KeyError` for a slug that is not in `cuts`.
    """
    sums = {"saleable": 0.0, "ground": 0.0, "fat": 0.0, "bone": 0.0, "loss": 0.0, "four": 0.0}
    for slug, share in leaf_shares(tree, chosen, species).items():
        if slug == LOSS:
            sums["loss"] += share
            continue
        cut = cuts[slug]
        kind = cut.use if cut.use in ("fat", "bone") else "saleable"
        sums[kind] += share
        sums["ground"] += share if cut.use == "grind" else 0.0
        sums["four"] += share if is_four_primal_cut(cut) else 0.0
    return Totals(
        saleable_share=sums["saleable"],
        ground_share=sums["ground"],
        fat_share=sums["fat"],
        bone_share=sums["bone"],
        loss_share=sums["loss"],
        four_primal_cuts_share=sums["four"],
    )


def is_four_primal_cut(cut: Cut) -> bool:
    """Whether the published retail-cut equation counts it: boneless whole muscle of the four big primals."""
    return cut.use in CUT_USES and cut.bone == "out" and cut.primal in FOUR_PRIMALS


def minutes_per_100kg(
    tree: Tree, cuts: Mapping[str, Cut], chosen: Mapping[str, str], species: str
) -> dict[str, float]:
    """Minutes by kind of work for 100 kg of side, what goes to the grinder ground and packed.

    A piece sold whole costs the minutes of its whole way. Ways carry no grinding: batches do.
    """
    amounts = _amounts(tree, chosen, species, ROOT)
    used = tree.reached(chosen, species)
    broken = {way.piece for way in used}
    for piece in amounts:
        whole = tree.ways_of(piece, species).get(WHOLE)
        if whole is not None and piece not in broken:
            used.append(whole)
    ground = sum(share for slug, share in amounts.items()
                 if slug not in broken and slug != LOSS and cuts[slug].use == "grind")  # fmt: skip
    return {work: sum(way.minutes_per_100kg.get(work, 0.0) * amounts[way.piece] for way in used)
            + ground * GRINDING_MINUTES_PER_100KG.get(work, 0.0) for work in WORK}  # fmt: skip


def _amounts(tree: Tree, chosen: Mapping[str, str], species: str, root: str) -> dict[str, float]:
    """Share of the side by slug for every piece on the way down and everything left at the end."""
    amounts = {root: 1.0}
    for way in tree.reached(chosen, species, root=root):
        for slug, share in way.shares.items():
            amounts[slug] = amounts.get(slug, 0.0) + share * amounts[way.piece]
    return amounts


def _under_another_primal(tree: Tree, chosen: Mapping[str, str], species: str, piece: str) -> bool:
    """Whether the piece came out of a primal that was already counted (short loin out of the full loin)."""
    return any(piece in way.outputs and way.piece in PRIMAL_OF_PIECE for way in tree.reached(chosen, species))
