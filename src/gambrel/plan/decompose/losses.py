"""What every way of a taken-apart week falls short of its bound: at its best a side loses nothing, so the rest do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from gambrel.plan.bound import least_shares
from gambrel.plan.decompose.family import Best, Family
from gambrel.plan.model import PlanModel
from gambrel.plan.places import NO_LOSSES, Losses


def losses_at(
    model: PlanModel, families: Sequence[Family], gains: np.ndarray, bests: Sequence[Best], worth: np.ndarray
) -> tuple[Losses, ...]:
    """For every group what each way loses against the best at its place, and each day against the best day."""
    found = [NO_LOSSES] * len(model.groups)
    for family, best in zip(families, bests, strict=True):
        of_choice = gains[family.chosen]
        for choice, below in enumerate(family.below):
            for place, share in below:
                of_choice[choice] += share * best.at_place[place]
        of_place = [choice.place for choice in family.options.choices]
        short = np.maximum(0.0, best.at_place[of_place] - of_choice)
        late = np.maximum(0.0, worth[family.groups] - best.worth)
        for group in dict.fromkeys(family.groups.tolist()):
            found[group] = _of_group(model, group, family, short, late)
    return tuple(found)


def _of_group(model: PlanModel, group: int, family: Family, short: np.ndarray, late: np.ndarray) -> Losses:
    pairs = np.flatnonzero(family.groups == group)
    options = model.options[group]
    by_way = {}
    for number, choice in enumerate(options.choices):
        piece = options.places[choice.place].piece
        way = choice.ways.get(piece)
        if way is not None:
            by_way[piece, way] = tuple(short[number, pairs].tolist())
    return Losses(by_way, tuple(late[pairs].tolist()), least_shares(options), float("inf"))
