"""The best day and ways of one side at given prices, for all sides of like trees at once.

Down a tree where every piece goes one way, what a piece is worth is the most that any of its ways brings with the
pieces below it: a dynamic program from the last pieces up to the side [Bellman, Dynamic Programming, Princeton,
1957; cited from memory]. It is exact, and it is done for every group and day in one stroke.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

import numpy as np

from gambrel.plan.model import PlanModel
from gambrel.plan.places import DUST, Options
from gambrel.plan.sides import SideGroup


@dataclass(frozen=True, slots=True)
class Best:
    """By pair of group and day: what a side is worth; by place, what a whole side's weight of it is, and its choice."""

    worth: np.ndarray
    at_place: np.ndarray
    choice: np.ndarray


@dataclass(frozen=True, slots=True)
class Family:
    """Groups whose trees have the same places and choices, though not the same shares.

    `pairs` are group and day; `chosen[choice, pair]` and `cut[pair]` are columns; `below[choice]` are the places a
    choice leads to, with what it gives each, by pair.
    """

    options: Options
    pairs: tuple[tuple[int, date], ...]
    groups: np.ndarray
    cut: np.ndarray
    chosen: np.ndarray
    below: tuple[tuple[tuple[int, np.ndarray], ...], ...]

    def best(self, gains: np.ndarray) -> Best:
        """What every pair is worth at these gains of the columns, and the choices that bring it."""
        of_choice = gains[self.chosen]
        every = np.arange(len(self.pairs))
        at_place = np.zeros((len(self.options.places), len(self.pairs)))
        choice = np.zeros(at_place.shape, dtype=np.int64)
        for number in reversed(range(len(self.options.places))):
            choices = self.options.places[number].choices
            for one in choices:
                for place, share in self.below[one]:
                    of_choice[one] += share * at_place[place]
            here = of_choice[choices[0] : choices[-1] + 1]
            picked = np.argmax(here, axis=0)
            at_place[number] = here[picked, every]
            choice[number] = picked + choices[0]
        return Best(at_place[0] + gains[self.cut], at_place, choice)

    def taken(self, best: Best, pair: int) -> tuple[tuple[int, ...], np.ndarray, np.ndarray]:
        """The choices of one side of the pair, and its columns with how much of each it takes."""
        amounts = np.zeros(len(self.options.places))
        amounts[0] = 1.0
        choices, columns, much = [], [int(self.cut[pair])], [1.0]
        for place in range(len(amounts)):
            if amounts[place] > DUST:
                choice = int(best.choice[place, pair])
                choices.append(choice)
                columns.append(int(self.chosen[choice, pair]))
                much.append(float(amounts[place]))
                for below, share in self.below[choice]:
                    amounts[below] += amounts[place] * share[pair]
        return tuple(choices), np.asarray(columns), np.asarray(much)


def families_of(model: PlanModel) -> tuple[Family, ...]:
    """Every group of the split model in a family of its like; groups without a cutting day are in none."""
    alike: dict[object, list[SideGroup]] = {}
    for group in model.groups:
        if group.days:
            places = model.options[group.number].places
            key = tuple((place.piece, place.choices, frozenset(place.above)) for place in places)
            alike.setdefault(key, []).append(group)
    return tuple(_family(model, groups) for groups in alike.values())


def _family(model: PlanModel, groups: Iterable[SideGroup]) -> Family:
    pairs = tuple((group.number, day) for group in groups for day in group.days)
    options = model.options[pairs[0][0]]
    below: list[list[tuple[int, np.ndarray]]] = [[] for _ in options.choices]
    for number, place in enumerate(options.places):
        for choice in place.above:
            given = [model.options[group].places[number].above[choice] for group, _ in pairs]
            below[choice].append((number, np.asarray(given)))
    chosen = [[model.chosen[group, day, choice] for group, day in pairs] for choice in range(len(below))]
    return Family(
        options, pairs, np.asarray([group for group, _ in pairs]), np.asarray([model.cut[pair] for pair in pairs]),
        np.asarray(chosen), tuple(tuple(one) for one in below),
    )  # fmt: skip
