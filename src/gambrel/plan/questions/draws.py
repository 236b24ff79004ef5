"""What may come off the planned sides: many equally likely outcomes of hanging and cutting, all days at once.

The two halves of an animal share its luck (one rib face, one carcass), different animals do not share any: what a
book figure gets wrong for a whole kind at once is not among the draws.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown import forecast_side
from gambrel.catalog.cuts import Cut
from gambrel.catalog.ways import Tree
from gambrel.plan.lawful import why_not_sold
from gambrel.plan.market import Origin, origin_of
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.shares import ModelSource
from gambrel.plan.week import Hanging, Week

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class SideDraws:
    """One side cut up, per kilogram of hot weight: cuts as they fall and minutes by kind of work, (draws,) each."""

    kg: Mapping[str, Floats]
    minutes: Mapping[str, Floats]


SideSource = Callable[[Hanging, SidePlan, int, int], SideDraws]
"""(animal, its side in the plan, draws, seed) to what comes off it."""


@dataclass(frozen=True, slots=True)
class Made:
    """All that the plan's sides give, draw by draw: meat that may be sold, waste, work, sides left.

    `meat_kg` (draws,) by (origin, slug, day); `waste_kg` the law keeps back; `minutes` by (day, work);
    `hanging_kg` of sold animals still hanging after the plan.
    """

    draws: int
    meat_kg: Mapping[tuple[Origin, str, date], Floats]
    waste_kg: Floats
    minutes: Mapping[tuple[date, str], Floats]
    hanging_kg: Floats


def forecast_source(tree: Tree, cuts: Mapping[str, Cut], models: ModelSource | None = None) -> SideSource:
    """Outcomes of the forecast (`breakdown/forecast.py`) for each side by the ways the plan takes, with the `models`
    that a shop has learned."""

    def source(hanging: Hanging, side: SidePlan, draws: int, seed: int) -> SideDraws:
        hung = hung_share(hanging, side, draws, seed)
        found = forecast_side(hanging.animal, side.ways, tree=tree, cuts=cuts, hung_kg=hung, seed=seed,
                              learned=models(hanging.animal, hanging.id) if models else None)  # fmt: skip
        minutes: dict[str, Floats] = {}
        taken = [(way, found.broken_kg[way.piece]) for way in found.ways]
        for piece, name in side.ways.items():
            way = tree.ways_of(piece, hanging.animal.species).get(name)
            if way is not None and way.is_whole and piece in found.kg:
                taken.append((way, found.kg[piece]))
        for way, kg in taken:
            for work, each in way.minutes_per_100kg.items():
                minutes[work] = minutes.get(work, np.zeros(draws)) + kg * each / 100.0
        return SideDraws(found.kg, minutes)

    return source


def hung_share(hanging: Hanging, side: SidePlan, draws: int, seed: int) -> Floats:
    """Shares of the hot weight left on the side's day, (draws,)."""
    assert side.day is not None
    loss = hanging.loss(hanging.side_hot_kg[side.half])
    days = max(0, (side.day - hanging.killed).days)
    return loss.draw_remaining(days, draws, np.random.default_rng((seed, 3)))


def draw_made(week: Week, plan: PlanResult, source: SideSource, *, draws: int, seed: int) -> Made:
    """Every planned side cut up `draws` times; the same `seed` gives the same outcomes."""
    animals = {hanging.id: (number, hanging) for number, hanging in enumerate(week.animals)}
    meat: dict[tuple[Origin, str, date], Floats] = defaultdict(lambda: np.zeros(draws))
    minutes: dict[tuple[date, str], Floats] = defaultdict(lambda: np.zeros(draws))
    waste, hanging_on = np.zeros(draws), np.zeros(draws)
    drawn: dict[tuple[str, str, tuple[tuple[str, str], ...]], SideDraws] = {}
    for side in plan.sides:
        number, hanging = animals[side.animal]
        hanging = hanging.of_side(side.half)
        hot_kg = hanging.side_hot_kg[side.half]
        own_seed = 1000 * seed + number
        if side.day is None:
            hanging_on += hot_kg * _left_at_end(hanging, hot_kg, week, draws, own_seed) * hanging.is_sold
            continue
        key = (side.animal, str(side.day), tuple(sorted(side.ways.items())))
        if key not in drawn:
            drawn[key] = source(hanging, side, draws, own_seed)
        for work, used in drawn[key].minutes.items():
            minutes[side.day, work] += hot_kg * used
        if not hanging.is_sold:
            continue
        for slug, kg in drawn[key].kg.items():
            if why_not_sold(hanging, slug, week.shop) is None:
                meat[origin_of(hanging), slug, side.day] += hot_kg * kg
            else:
                waste += hot_kg * kg
    return Made(draws, dict(meat), waste, dict(minutes), hanging_on)


def _left_at_end(hanging: Hanging, hot_kg: float, week: Week, draws: int, seed: int) -> Floats:
    days = max(0, (week.shop.end + timedelta(days=1) - hanging.killed).days)
    return hanging.loss(hot_kg).draw_remaining(days, draws, np.random.default_rng((seed, 3)))
