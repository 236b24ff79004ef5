"""The breakdown tree as one animal's choices.

A *place* is a piece where it turns up, a *choice* is one way taken there. On its own path down the tree a piece
is a fixed share of the side, so that "broken one way" is exact: the choices at a place, counted in sides, add up
to the choice above it. Some pieces (fat, bones, the under blade) come from several places of one side at once:
those are *pooled*, weighed as shares of a side, and broken one way for the whole animal. Places with a single
way are no choice and are folded into the choice that leads to them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

DUST = 1e-12
"""A smaller share of a side is nothing."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way at one place with everything below it that is settled by it.

    Shares and minutes are of a kilogram of side for each unit of the choice: a side at a place on a path, a
    whole side's weight of the piece at a pooled one. `leaves` can be sold or ground; `waste_share` cannot.
    `loss_cents` is by cutting day what a plan with this choice is known to fall short of the bound (see
    `bound.py`); `path` tells the choice from all others of the animal.
    """

    place: int
    path: tuple[str, ...]
    loss_cents: tuple[float, ...]
    ways: Mapping[str, str]
    leaves: Mapping[str, float]
    waste_share: float
    minutes_per_kg: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Place:
    """A piece where it turns up; `above` are the choices that lead to it and what each gives it.

    The side itself has nothing above. A place on a path has one choice above, which gives it 1; a pooled one
    may have many, each giving its share.
    """

    piece: str
    above: Mapping[int, float]
    choices: tuple[int, ...]
    pooled: bool


@dataclass(frozen=True, slots=True)
class Options:
    """All places and choices of one animal, each place after everything above it; place 0 is the side.

    `gathered` are the pieces that can come from several places of one side: pooled, whatever else is.
    """

    places: tuple[Place, ...]
    choices: tuple[Choice, ...]
    limit_cents: float = math.inf
    gathered: frozenset[str] = frozenset()

    def looked_at(self, choice: Choice, day_number: int) -> bool:
        """Whether the choice is worth a column on the day of that number."""
        return not choice.loss_cents or choice.loss_cents[day_number] <= self.limit_cents

    def below(self) -> dict[int, list[tuple[int, float]]]:
        """By choice, the places it leads to and what it gives each."""
        found: dict[int, list[tuple[int, float]]] = {}
        for number, place in enumerate(self.places):
            for choice, share in place.above.items():
                found.setdefault(choice, []).append((number, share))
        return found


@dataclass(frozen=True, slots=True)
class Losses:
    """What each way at each piece costs against the bound, and how much is still worth looking at.

    `by_way` is (piece, way) to cents a whole side's weight of the piece, by cutting day; `at_start` by cutting
    day for the side itself; `least_share` the least share of a side in which a piece comes about.
    """

    by_way: Mapping[tuple[str, str], tuple[float, ...]]
    at_start: tuple[float, ...]
    least_share: Mapping[str, float]
    limit_cents: float

    def after(self, so_far: tuple[float, ...], piece: str, way: str, share: float) -> tuple[float, ...]:
        """`so_far` and the cost of this way, by day; nobody looks at a day once it is over the limit."""
        cost = self.by_way.get((piece, way))
        return so_far if cost is None else tuple(a + share * b for a, b in zip(so_far, cost, strict=False))

    def worth_it(self, loss_cents: tuple[float, ...]) -> bool:
        return not loss_cents or min(loss_cents) <= self.limit_cents


NO_LOSSES = Losses({}, (), {}, 0.0)
