"""Whether the forecasts told the truth: what came of each side within what it went to the block with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache

from gambrel.learn.alarm import Alarm, alarms
from gambrel.learn.profit_truth import AnimalProfit, ProfitTruth, profit_truth
from gambrel.learn.truth import (
    LEVELS_PCT,
    Bias,
    Coverage,
    SideTruth,
    biases,
    by_month,
    coverage,
    drifted,
    verdict,
)  # fmt: skip
from gambrel.shop.records.animals_learned import animals_learned
from gambrel.shop.records.models import ShopProfile
from gambrel.shop.records.sides_learned import State, sides_learned, state_now, truth_of

MOST_BIASES = 24
"""So many cuts are shown, those that lean farthest."""


@dataclass(frozen=True, slots=True)
class Month:
    """The sides of one month, and how many pieces lay inside by level [%]."""

    month: date
    sides_count: int
    coverage_of: Mapping[int, Coverage]


@dataclass(frozen=True, slots=True)
class TruthPage:
    """`kind` is the one looked at, None for all; `kinds` those that were cut.
    `animals` come with their number in the records; `waiting_count` are not sold yet."""

    kind: str | None
    kinds: tuple[str, ...]
    sides: tuple[SideTruth, ...]
    verdict: str
    coverages: tuple[Coverage, ...] = ()
    months: tuple[Month, ...] = ()
    biases: tuple[Bias, ...] = ()
    alarms: tuple[Alarm, ...] = ()
    is_drifting: bool = False
    profits: tuple[ProfitTruth, ...] = ()
    animals: tuple[tuple[int, AnimalProfit], ...] = ()
    waiting_count: int = 0

    @property
    def is_wrong(self) -> bool:
        """Something departs from the forecast now."""
        return self.is_drifting or bool(self.alarms)


def truth_page(shop: ShopProfile, kind: str | None) -> TruthPage:
    """The newest sides that balance, of one kind or of all."""
    state = state_now()
    every = sides_learned(state)
    chosen = kind if kind in {side.kind for side in every} else None
    page = _of_weights(state, chosen)
    if not page.sides:
        return page
    animals = animals_learned(shop, [side for side in every if chosen in (None, side.kind)])
    found = [(animal.first.animal_id, animal.profit) for animal in animals]
    profits = [(key, profit) for key, profit in found if profit is not None]
    waiting = [animal for animal in animals if animal.cost_cents is not None and not animal.is_sold]
    return replace(
        page,
        profits=profit_truth([profit for _, profit in profits]),
        animals=tuple(profits),
        waiting_count=len(waiting),
    )


@lru_cache(maxsize=16)
def _of_weights(state: State, kind: str | None) -> TruthPage:
    """All that follows from the weights; the money may change with every pack that is sold."""
    every = sides_learned(state)
    wanted = [side for side in every if kind in (None, side.kind)]
    sides = tuple(found for found in map(truth_of, wanted) if found is not None)
    page = TruthPage(kind, tuple(sorted({side.kind for side in every})), sides, verdict(sides))
    if not sides:
        return page
    return replace(
        page,
        coverages=tuple(coverage(sides, level) for level in LEVELS_PCT),
        months=_months(sides),
        biases=biases(sides)[:MOST_BIASES],
        alarms=alarms(sides),
        is_drifting=drifted(sides),
    )


def _months(sides: Sequence[SideTruth]) -> tuple[Month, ...]:
    found: dict[date, dict[int, Coverage]] = {}
    for level in LEVELS_PCT:
        for month, one in by_month(sides, level):
            found.setdefault(month, {})[level] = one
    return tuple(Month(month, next(iter(of.values())).sides_count, of) for month, of in sorted(found.items()))
