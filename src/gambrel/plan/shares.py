"""What comes out of each way for one animal: the only place where the plan asks for shares."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from gambrel.breakdown import expected_shares
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import Tree

Shares = Mapping[tuple[str, str], Mapping[str, float]]
"""(piece, way) to output slug to share of the piece, the loss among them, adding to 1."""

ShareSource = Callable[[Animal, Tree], Shares]


def forecast_shares(animal: Animal, tree: Tree) -> Shares:
    """The central forecast of the breakdown step for this animal's weight, fat, ribeye and kidney fat."""
    return expected_shares(animal, tree=tree, cuts=shipped_cuts())


def book_shares(animal: Animal, tree: Tree) -> Shares:
    """The shares as they stand in the tree, whatever the animal: for a shop that trusts its own tree."""
    return {
        (piece, name): way.shares
        for piece in tree.ways
        for name, way in tree.ways_of(piece, animal.species).items()
    }
