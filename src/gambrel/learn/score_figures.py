"""The figures that scorecards compare, made from what is known of each animal.

    scores_of(animals, "profit_cents_per_rail_day")  ->  Score, one an animal that has the figure

Yields are compared as they came (`meat_share`: a supplier of fat animals stands lower) and at like fat cover
(`meat_share_at_like_fat`: what the rib face did not tell already). A grade is the shop's own estimate.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.learn.scorecard import Score

FIGURES = (
    "meat_share",
    "meat_share_at_like_fat",
    "grade",
    "profit_cents_per_head",
    "profit_cents_per_kg",
    "profit_cents_per_rail_day",
)
"""Every figure, in the order of a scorecard."""

LEAST_WEIGHED_SHARE, MOST_WEIGHED_SHARE = 0.95, 1.03
"""Of what came off the rail: the sides whose shares are fit to be compared. It is wider than what teaches yields, for
a wet pan makes every line heavier and hardly changes what share is meat; a primal not weighed lies outside."""


@dataclass(frozen=True, slots=True)
class AnimalFigures:
    """What is known of one animal; None where it is not.

    `meat_share` is what sells as meat of what was weighed, `grade` a number of the shop's own estimate (higher
    is better), `profit_cents` of the whole animal, `hung_kg` both sides off the rail, `rail_days` the days they hung.
    """

    animal: str
    supplier: str
    kind: str
    hung_kg: float
    meat_share: float | None = None
    fat_mm: float | None = None
    grade: float | None = None
    profit_cents: float | None = None
    rail_days: float | None = None


def figure_of(animal: AnimalFigures, figure: str) -> float | None:
    """One of `FIGURES` of one animal, None where it lacks what the figure needs. KeyError for no such figure."""
    profit = animal.profit_cents
    if figure in ("meat_share", "meat_share_at_like_fat", "grade"):
        return animal.grade if figure == "grade" else animal.meat_share
    over = {"profit_cents_per_head": 1.0, "profit_cents_per_kg": animal.hung_kg,
            "profit_cents_per_rail_day": animal.rail_days}[figure]  # fmt: skip
    return None if profit is None or not over else profit / over


def scores_of(animals: Sequence[AnimalFigures], figure: str) -> tuple[Score, ...]:
    """The animals that have `figure`, ready for `supplier_cards`, `kind_cards`, `animal_cards`."""
    scores = []
    for one in animals:
        value = figure_of(one, figure)
        if value is None:
            continue
        if figure != "meat_share_at_like_fat":
            scores.append(Score(one.supplier, one.kind, value, one.animal))
        elif one.fat_mm is not None:
            scores.append(Score(one.supplier, one.kind, value, one.animal, (one.fat_mm,)))
    return tuple(scores)
