"""What may be settled for a side before it is planned: the pieces with more than one lawful way."""

from __future__ import annotations

from typing import Any

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.shop.records.models import PinnedSide, Side
from gambrel.shop.records.week import kinds_of_shop

SETTLED_PIECES = ("chuck-square-cut", "rib-primal", "brisket-bone-in", "short-plate", "full-loin", "short-loin",
                  "sirloin-bone-in", "round-primal", "flank-primal", "foreshank", "hindshank")  # fmt: skip
"""Primals: what a person decides before the knife; below them the planner is left free."""

Choices = dict[str, tuple[str, tuple[tuple[str, str], ...]]]


def ways_to_settle(side: Side, *, trim: str) -> tuple[Choices, dict[str, Any]]:
    """Each primal with its name and its ways, and what is settled already, as a form wants them."""
    species = kinds_of_shop()[side.animal.kind].species
    tree, cuts = shipped_tree().trimmed(trim), shipped_cuts()
    choices: Choices = {}
    for piece in SETTLED_PIECES:
        ways = tuple((name, name.replace("-", " ")) for name in tree.ways_of(piece, species))
        if len(ways) > 1:
            name = cuts[piece].shop_name(species) if piece in cuts else piece
            choices[piece] = (name, ways)
    pin: PinnedSide | None = getattr(side, "pin", None)
    initial: dict[str, Any] = {"day": pin.day if pin else None}
    for piece, way in (pin.ways if pin else {}).items():
        initial[f"way-{piece}"] = way
    return choices, initial
