"""What comes out of each way for one animal: the only place where the plan asks for shares."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

from gambrel.breakdown import ShareModel, expected_shares
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import Tree

Shares = Mapping[tuple[str, str], Mapping[str, float]]
"""(piece, way) to output slug to share of the piece, the loss among them, adding to 1."""


class ShareSource(Protocol):
    """The shares for one carcass; `name` is the animal's in the week, "" where it is in none."""

    def __call__(self, animal: Animal, tree: Tree, name: str = "", /) -> Shares: ...


def forecast_shares(animal: Animal, tree: Tree, _name: str = "", /) -> Shares:
    """The central forecast of the breakdown step for this animal's weight, fat, ribeye and kidney fat."""
    return expected_shares(animal, tree=tree, cuts=shipped_cuts())


Models = Mapping[tuple[str, str], ShareModel]
"""(piece, way) to the share model that a shop's own tests have taught."""


class ModelSource(Protocol):
    """The models for one carcass, None where there is only the book; `name` is the animal's in the week, by which
    its supplier is known, "" where it is in none."""

    def __call__(self, animal: Animal, name: str = "", /) -> Models | None: ...


def learned_shares(models: ModelSource) -> ShareSource:
    """The same forecast by what a shop has learned; the book stands in for the rest."""

    def shares(animal: Animal, tree: Tree, name: str = "", /) -> Shares:
        return expected_shares(animal, tree=tree, cuts=shipped_cuts(), learned=models(animal, name))

    return shares


def book_shares(animal: Animal, tree: Tree, _name: str = "", /) -> Shares:
    """The shares as they stand in the tree, whatever the animal: for a shop that trusts its own tree."""
    return {
        (piece, name): way.shares
        for piece in tree.ways
        for name, way in tree.ways_of(piece, animal.species).items()
    }
