"""Whole sides out of a master that splits them: side by side is settled, and the rest is solved anew around it.

A dive with new columns at every step, as usual where columns are made as they are needed [Sadykov and others,
Primal heuristics for branch and price, INFORMS Journal on Computing 31, 2019; cited from memory].
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from gambrel.optimize import Answer
from gambrel.plan.decompose.family import Best, Family
from gambrel.plan.decompose.master import Cutting
from gambrel.plan.decompose.taken_apart import Apart

SURE = 0.95
"""A side of which so much takes one cutting takes it: no other is tried."""

TRIED = 3
"""Of the cuttings that most of a side takes, so many are tried where none is sure."""

DUST = 1e-6


@dataclass
class Dive:
    """Sides settled so far: by cutting how many take it, and by group how many sides are left."""

    apart: Apart
    seconds_left: Callable[[], float]
    taken: dict[int, int] = field(default_factory=dict)
    left: np.ndarray = field(default_factory=lambda: np.zeros(0))
    answer: Answer | None = None

    def __post_init__(self) -> None:
        self.left = np.asarray([group.count for group in self.apart.model.groups])
        self.answer = self.apart.answer

    def run(self) -> bool:
        """Settle every side; whether all are settled and every promise is kept."""
        while self.answer is not None and self.left.any() and self.seconds_left() > 0:
            if not self._settle_the_sure():
                self._settle_one()
            self._look_around()
        return self.answer is not None and not self.left.any() and self.kept

    @property
    def kept(self) -> bool:
        return self.answer is not None and self.apart.master.broken(self.answer) < DUST

    @property
    def gain_cents(self) -> float:
        return -math.inf if self.answer is None else self.answer.objective

    def cuttings(self) -> list[tuple[Cutting, int]]:
        """What is settled, with how many sides take each."""
        return [(self.apart.master.cuttings[number], much) for number, much in self.taken.items() if much]

    def open_again(self, groups: list[int]) -> None:
        """Unsettle all sides of these groups."""
        for group in groups:
            for number in self.apart.master.number[group]:
                self.taken.pop(number, None)
                self.apart.master.limit(number, 0.0, math.inf)
            self.left[group] = self.apart.model.groups[group].count
        self._solve()

    def restore(self, taken: dict[int, int]) -> None:
        """Settle everything as it was."""
        for number in set(self.taken) | set(taken):
            self.apart.master.limit(number, float(taken.get(number, 0)), math.inf)
        self.taken = dict(taken)
        self.left = np.zeros_like(self.left)
        self._solve()

    def _solve(self) -> None:
        answer = self.apart.master.program.solve(seconds=self.seconds_left())
        self.answer = answer if answer.status == "optimal" else None

    def _open_parts(self) -> list[tuple[float, int]]:
        """How much of a side takes each cutting beyond what is settled, most first."""
        assert self.answer is not None, "a dive is steered by the master's answer"
        found = []
        for number, much in enumerate(self.apart.master.sides(self.answer)):
            over = float(much) - self.taken.get(number, 0)
            if over > DUST and self.left[self.apart.master.cuttings[number].group]:
                found.append((over, number))
        return sorted(found, reverse=True)

    def _settle_the_sure(self) -> bool:
        some = False
        for over, number in self._open_parts():
            much = min(int(over + 1.0 - SURE), int(self.left[self.apart.master.cuttings[number].group]))
            if much and self._suits_the_settled(number):
                self._take(number, much)
                some = True
        if some:
            self._solve()
        return some

    def _settle_one(self) -> None:
        """Settle one side, by the best of a few cuttings tried."""
        parts = [number for _, number in self._open_parts() if self._suits_the_settled(number)]
        tried: list[tuple[float, int]] = []
        before = dict(self.taken)
        for number in parts[:TRIED]:
            self.apart.master.limit(number, before.get(number, 0) + 1.0, math.inf)
            self._solve()
            tried.append((self.gain_cents, number))
            self.apart.master.limit(number, float(before.get(number, 0)), math.inf)
        if tried:
            self._take(max(tried)[1], 1)
        self._solve()
        if not tried:
            self.answer = None  # no cutting known suits the animal's other side: nothing to go on with

    def _take(self, number: int, much: int) -> None:
        master, group = self.apart.master, self.apart.master.cuttings[number].group
        self.taken[number] = self.taken.get(number, 0) + much
        self.left[group] -= much
        master.limit(number, float(self.taken[number]), math.inf)
        for other in master.number[group]:
            if not self.taken.get(other) and not master.cuttings[number].suits(master.cuttings[other]):
                master.limit(other, 0.0, 0.0)

    def _suits_the_settled(self, number: int) -> bool:
        master = self.apart.master
        cutting = master.cuttings[number]
        mates = (other for other in master.number[cutting.group] if self.taken.get(other))
        return all(master.cuttings[other].suits(cutting) for other in mates)

    def _look_around(self) -> None:
        """Better cuttings, at the prices as they are now, for sides not settled yet."""
        if self.answer is None or not self.left.any():
            return
        apart, answer = self.apart, self.answer
        gains = apart.shared.gains_at(apart.master.prices(answer))
        for family in apart.families:
            self._bar(family, gains)
        bests = [family.best(gains) for family in apart.families]
        worth = apart.master.worth(answer)

        def wanted(family: Family, best: Best) -> np.ndarray:
            least = worth[family.groups] + DUST * np.abs(worth[family.groups])
            return np.asarray((self.left[family.groups] > 0) & (best.worth > least))

        if apart.master.add(list(apart.cuttings(bests, wanted))):
            self._solve()

    def _bar(self, family: Family, gains: np.ndarray) -> None:
        """A side goes with its settled mate: other ways of what is pooled are made as bad as can be."""
        ways: dict[int, dict[str, int]] = {}
        for number, much in self.taken.items():
            cutting = self.apart.master.cuttings[number]
            if much and self.left[cutting.group]:
                ways.setdefault(cutting.group, {}).update(dict(cutting.pooled))
        for pair, (group, _) in enumerate(family.pairs):
            for piece, choice in ways.get(group, {}).items():
                place = family.options.choices[choice].place
                assert family.options.places[place].piece == piece
                others = [one for one in family.options.places[place].choices if one != choice]
                gains[family.chosen[others, pair]] = -math.inf
