"""Prices of what sides share, found by turns: a master sets them, every side answers with its best cutting.

What all sides at their best and the market gain at any prices is a bound on every plan [Lagrangian bound: Geoffrion,
Mathematical Programming Study 2, 1974; cited from memory]. The prices asked at lie between the best seen and the
master's own, which swing [smoothing: Wentges, International Transactions in Operational Research 4, 1997; cited from
memory].
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from gambrel.optimize import Answer, Row, Watch
from gambrel.plan.bound import Bound
from gambrel.plan.decompose.family import Best, Family, families_of
from gambrel.plan.decompose.losses import losses_at
from gambrel.plan.decompose.master import Cutting, Master, is_stuck
from gambrel.plan.decompose.shared import Shared
from gambrel.plan.model import PlanModel
from gambrel.plan.rules_pieces import each_side_is_cut_by_its_latest_day

SMOOTH = 0.5
"""How near the prices asked at stay to the best seen: 1 would be there, 0 the master's own."""

AT_LEAST_SMOOTH = 0.05

NEAR = 1e-4
"""Days within this share of a group's best day are given a column too, so that the master need not ask again."""

FEW_TURNS = 8
"""Where promises can be kept, they hardly ever are broken for so many turns."""

KEPT = 1e-6
"""Kilograms, minutes and metres by which promises are broken, below which they count as kept."""

TINY = 1e-9
"""A breach of so little, as a share of what a rule asks for, is the solver's dust."""


@dataclass
class Apart:
    """A split week taken apart: the best bound so far with its prices, and the master with its answer."""

    model: PlanModel
    shared: Shared
    families: tuple[Family, ...]
    master: Master
    bound_cents: float = math.inf
    prices: np.ndarray = field(default_factory=lambda: np.zeros(0))
    answer: Answer | None = None

    def priced(self, prices: np.ndarray) -> tuple[np.ndarray, list[Best], np.ndarray]:
        """At these prices: all columns' gains, every family's best, and the most a side of each group is worth."""
        gains = self.shared.gains_at(prices)
        bests = [family.best(gains) for family in self.families]
        worth = np.full(len(self.model.groups), -math.inf)
        for group, column in self.model.hang_on.items():
            worth[group] = gains[column]
        for family, best in zip(self.families, bests, strict=True):
            np.maximum.at(worth, family.groups, best.worth)
        return gains, bests, worth

    def look(self, prices: np.ndarray) -> tuple[list[Best], np.ndarray]:
        """Ask every side at these prices, and keep the bound and the prices when they are better."""
        gains, bests, worth = self.priced(prices)
        counts = np.asarray([group.count for group in self.model.groups])
        counts[np.isinf(worth)], worth[np.isinf(worth)] = 0, 0.0  # no day at all: nothing of it is looked at
        bound = self.shared.market_bound(prices, gains) + float(counts @ worth)
        if bound < self.bound_cents:
            self.bound_cents, self.prices = bound, prices
        return bests, worth

    def cuttings(self, bests: list[Best], wanted: Callable[[Family, Best], np.ndarray]) -> Iterator[Cutting]:
        """The best cutting of every pair that is wanted."""
        for family, best in zip(self.families, bests, strict=True):
            for pair in np.flatnonzero(wanted(family, best)):
                yield self.cutting(family, best, int(pair))

    def cutting(self, family: Family, best: Best, pair: int) -> Cutting:
        """One side of the pair at its best."""
        choices, columns, amounts = family.taken(best, pair)
        group, day = family.pairs[pair]
        options = self.model.options[group]
        pooled = tuple(
            (options.places[options.choices[one].place].piece, one)
            for one in choices
            if options.places[options.choices[one].place].piece in options.gathered
        )
        return Cutting(group, day, choices, pooled, self.shared.column(columns, amounts))

    def bound(self) -> Bound:
        """The bound, and what every way falls short of it, for a search that leaves ways out."""
        gains, bests, worth = self.priced(self.prices)
        return Bound(self.bound_cents, losses_at(self.model, self.families, gains, bests, worth))


def take_apart(model: PlanModel, *, threads: int, watch: Watch | None = None) -> Apart:
    """`model` is split (every piece pooled) and holds the shared rules only."""
    shared = Shared(model)
    return _with_hanging_on(
        Apart(model, shared, families_of(model), Master(model, shared, threads=threads, watch=watch))
    )


def least_breach(
    model: PlanModel, *, seconds_left: Callable[[], float], watch: Watch | None = None,
    known: Iterable[Cutting] = (),
) -> list[tuple[Row, float]]:  # fmt: skip
    """The soft rules of such a model that must give way, and by how much, for the rest to hold: the smallest breach.

    As `Problem.least_breach` finds it, each breach weighed against the size of what its rule asks for: nothing earns,
    and breaking is what costs. Cuttings `known` are a start. Empty when no rule need be broken; `TimeoutError` when
    that was not settled in time.
    """
    shared = Shared(model)
    shared.gains[:] = 0.0
    master = Master(model, shared, threads=1, watch=watch, fine=lambda side: 1.0 / max(1.0, abs(side)))
    apart = _with_hanging_on(Apart(model, shared, families_of(model), master))
    master.add(replace(cutting, column=replace(cutting.column, gain=0.0)) for cutting in known)
    kept = settle(apart, close_share=1e-6, seconds_left=seconds_left, told=lambda so_far: None)
    stuck = _stuck(model)
    if kept:
        return stuck
    if apart.answer is None or apart.bound_cents > -TINY:
        raise TimeoutError("whether every promise can be kept was not settled in time")
    broken = master.breaches(apart.answer)
    rows = model.problem.rows
    return stuck + [(rows[rule], much) for rule, much in broken.items() if much > 1e-6]


def _stuck(model: PlanModel) -> list[tuple[Row, float]]:
    """Groups without a day, each as the rule that its sides are cut: nothing but that can be broken for them."""
    first = len(model.problem.rows)
    each_side_is_cut_by_its_latest_day(model)
    own = model.problem.rows[first:]
    return [
        (row, float(group.count)) for group, row in zip(model.groups, own, strict=True) if is_stuck(group)
    ]


def _with_hanging_on(apart: Apart) -> Apart:
    one = np.ones(1)
    apart.master.add(
        Cutting(group, None, (), (), apart.shared.column(np.asarray([column]), one))
        for group, column in apart.model.hang_on.items()
    )
    return apart


def settle(
    apart: Apart, *, close_share: float, seconds_left: Callable[[], float], told: Callable[[Apart], None],
    patient: bool = True,
) -> bool:  # fmt: skip
    """Find the prices, until bound and master are `close_share` of the gain apart, or there is no time left.

    `told` hears of every turn. Without patience it ends when promises are still broken after a few turns. Returns
    whether the master keeps every promise.
    """
    bests, _ = apart.look(np.zeros(apart.master.rules))
    apart.master.add(apart.cuttings(bests, lambda family, best: np.ones(len(family.pairs), dtype=bool)))
    centre = None
    for turn in itertools.count():
        answer = apart.master.program.solve(seconds=seconds_left())
        if answer.status != "optimal":
            break
        apart.answer = answer
        open_cents = apart.bound_cents - answer.objective
        if open_cents <= close_share * abs(answer.objective):
            break
        if turn >= FEW_TURNS and not patient and apart.master.broken(answer) >= KEPT:
            break
        found, centre = _turn(apart, answer, centre)
        told(apart)
        if not found or seconds_left() <= 0:
            break
    return apart.answer is not None and apart.master.broken(apart.answer) < KEPT


def _turn(apart: Apart, answer: Answer, centre: np.ndarray | None) -> tuple[int, np.ndarray]:
    """Ask nearer and nearer to the master's prices until some side has a better cutting; how many were found."""
    own = apart.master.prices(answer)
    smooth = 0.0 if centre is None else SMOOTH
    while True:
        before = apart.bound_cents
        asked = own if centre is None else smooth * centre + (1.0 - smooth) * own
        bests, worth = apart.look(asked)
        if apart.bound_cents < before or centre is None:
            centre = asked
        near = worth - NEAR * np.abs(worth)
        cuttings = list(
            apart.cuttings(bests, lambda family, best: best.worth >= near[family.groups])  # noqa: B023
        )
        found = sum(apart.master.better(one, answer) for one in cuttings)
        apart.master.add(cuttings)
        if found or smooth == 0.0:
            return found, centre
        smooth = smooth / 2.0 if smooth > AT_LEAST_SMOOTH else 0.0
