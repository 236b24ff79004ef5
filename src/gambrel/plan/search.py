"""The search for the best plan: a first one at once, the bound, then looks that widen until the gap is proven."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace

import numpy as np

from gambrel.catalog.ways import Tree
from gambrel.optimize import Row, Watch
from gambrel.plan.answer import sides_of, sold_anew, start_for
from gambrel.plan.bound import Bound, bound_of, relaxed
from gambrel.plan.decompose import (
    KindsApart,
    Part,
    first_plan,
    is_large,
    kinds_apart,
    only_days,
    only_ways,
    plan_apart,
    within,
)
from gambrel.plan.likely import likely_ways
from gambrel.plan.model import PlanModel, build, walk_of
from gambrel.plan.places import NO_LOSSES, Losses
from gambrel.plan.result import SidePlan
from gambrel.plan.rules import lay_down as lay_down_all
from gambrel.plan.shares import Shares
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Hanging, Week

OPTIMAL_GAP = 1e-6
"""A gap below this is called optimal: it is the solver's own tolerance, and no search gets below it."""

FIRST_LOOK = (1e-6, 3e-4, 2e-3, 1e-2, math.inf)
"""How far below the bound, as shares of it, the first search looks: wider until some plan is found."""

SECOND_LOOK, SECOND_LOOK_SECONDS = 5e-4, 6.0

KINDS_GAP, KINDS_SHARE = 1e-3, 0.7
"""Kinds are solved by themselves where no larger gap is asked for, and take at most this share of the time left."""

LOOK_SHARE = 0.5
"""A look that is not the last takes at most this share of the time that is left."""

FIRST_GAP, FIRST_SECONDS, FIRST_SHARE, FIRST_DAYS = 0.02, 3.0, 0.05, (1, 3)
"""The first plan is no more than a start: near enough, soon, on so many days (more where one gives no plan).

A large week's may take this share of the time that is left.
"""


@dataclass(frozen=True, slots=True)
class Progress:
    """How far a search has come: the profit of the best plan so far (None: no plan yet) and what is proven."""

    seconds: float
    profit_cents: int | None
    bound_cents: int | None


class OutOfTime(Exception):
    """A model was not built to its end, for the search has no time left."""


@dataclass
class Search:
    """The best plan so far and what is proven of the whole week. `stop` is asked now and then."""

    week: Week
    tree: Tree
    groups: tuple[SideGroup, ...]
    shares_of: Mapping[str, Shares]
    gap: float
    began_seconds: float
    seconds: float
    threads: int
    progress: Callable[[Progress], None] | None = None
    stop: Callable[[], bool] | None = None
    model: PlanModel | None = None
    values: np.ndarray | None = None
    gain_cents: float = -math.inf
    bound_cents: float = math.inf
    impossible: PlanModel | None = None
    breach: list[tuple[Row, float]] | None = None
    _asked_to_stop: bool = field(default=False, init=False)
    _running: bool = field(default=False, init=False)

    @property
    def seconds_left(self) -> float:
        return 0.0 if self.stopped else self.began_seconds + self.seconds - time.perf_counter()

    @property
    def stopped(self) -> bool:
        """Whether somebody has asked for the best plan so far; once asked, it stays so."""
        if not self._asked_to_stop and self.stop is not None and self.stop():
            self._asked_to_stop = True
        return self._asked_to_stop

    @property
    def wanted_cents(self) -> float:
        """The bound that would prove the plan good enough."""
        return self.gain_cents + max(self.gap, OPTIMAL_GAP) * abs(self.gain_cents)

    @property
    def proven(self) -> bool:
        return self.bound_cents <= self.wanted_cents

    def built(
        self,
        losses: Callable[[SideGroup], Losses] = lambda group: NO_LOSSES,
        *,
        split: bool = False,
        groups: tuple[SideGroup, ...] | None = None,
        narrowed: Callable[[Hanging], Hanging] = lambda hanging: hanging,
        lay_down: Callable[[PlanModel], None] | None = None,
        finish: bool = False,
    ) -> PlanModel:
        """The week's model within some losses; `split` lets every piece be split, `narrowed` shuts ways.

        `lay_down` adds the rules, if not all of them. Within a search that has no time left it is broken off
        (`OutOfTime`), unless it is to `finish` whatever the time.
        """
        groups = groups or self.groups
        options = []
        for group in groups:
            self._go_on(finish)
            walk = walk_of(self.week, self.tree, narrowed(group.hanging), self.shares_of[group.hanging.id],
                           losses=losses(group))  # fmt: skip
            options.append(walk.options(pool_all=split))
        model = build(self.week, groups, tuple(options))
        self._go_on(finish)
        if lay_down is not None:
            lay_down(model)
        else:
            lay_down_all(model, split=split)
        self._go_on(finish)
        return model

    def _go_on(self, finish: bool) -> None:
        if self._running and not finish and self.seconds_left <= 0:
            raise OutOfTime

    def tell(self, gain_cents: float, bound_cents: float) -> None:
        """Pass on a plan of this gain and what is proven now; neither ever gets worse."""
        gain, bound = max(self.gain_cents, gain_cents), min(self.bound_cents, bound_cents)
        if self.progress is not None:
            self.progress(
                Progress(
                    time.perf_counter() - self.began_seconds,
                    None if math.isinf(gain) else math.floor(gain),
                    None if math.isinf(bound) else math.ceil(max(bound, gain)),
                )
            )

    def keep(self, model: PlanModel, values: np.ndarray, gain_cents: float) -> None:
        if values.size and gain_cents > self.gain_cents:
            self.model, self.values, self.gain_cents = model, values, gain_cents
            self.tell(gain_cents, self.bound_cents)

    def keep_sides(self, sides: tuple[SidePlan, ...]) -> None:
        """Keep a plan that is said side by side: a model of no other days and ways, with what it sells solved anew."""
        by_id = {side.id: side for side in sides}
        of_animal: dict[str, list[Mapping[str, str]]] = {}
        groups = []
        for group in self.groups:
            mine = [by_id[group.hanging.side_id(half)] for half in group.halves]
            of_animal.setdefault(group.hanging.id, []).extend(side.ways for side in mine)
            groups.append(only_days(group, {side.day for side in mine}))
        model = self.built(
            groups=tuple(groups), finish=True,
            narrowed=lambda hanging: only_ways(hanging, of_animal[hanging.id]),
        )  # fmt: skip
        values = start_for(model, sides)
        if values is not None:
            self.keep(model, values, float(np.dot(model.problem.gains, values)))

    def watch(self, left_out_cents: float = -math.inf) -> Watch:
        """Of a solver that leaves out only what lies below `left_out_cents`."""
        return Watch(
            found=lambda gain, bound: self.tell(gain, max(bound, left_out_cents)), stop=lambda: self.stopped
        )

    def look(self, bound: Bound, limit_cents: float, gap: float, seconds: float = math.inf) -> bool:
        """Search what lies within `limit_cents` of the bound; False when nothing there keeps every promise.

        Whatever is left out lies below the bound less the limit, so the larger of that and the solver's own
        bound holds for the whole week.
        """
        model = self.built(lambda group: replace(bound.losses[group.number], limit_cents=limit_cents))
        left_out = bound.gain_cents - limit_cents
        answer = model.problem.solve(
            gap=gap, seconds=min(seconds, max(1.0, self.seconds_left)), threads=self.threads,
            start=self._start(model), watch=self.watch(left_out),
        )  # fmt: skip
        if answer.status != "no-plan" and math.isfinite(answer.bound):
            self.bound_cents = min(self.bound_cents, max(answer.bound, left_out))
        elif answer.status == "no-plan":
            self.bound_cents = min(self.bound_cents, max(self.gain_cents, left_out))
        self.keep(model, answer.values, answer.objective)
        return answer.status != "no-plan"

    def _start(self, model: PlanModel) -> np.ndarray | None:
        if self.model is None or self.values is None:
            return None
        return start_for(model, sides_of(self.model, self.values))

    def run(self) -> None:
        """Search until the gap is proven, the time is up or somebody says stop."""
        self._running = True
        with suppress(OutOfTime):
            self._search()
        self._running = False

    def _search(self) -> None:
        self._at_once()
        if is_large(self.groups):
            bound = plan_apart(self)
            if bound is not None or self.impossible is not None or self.seconds_left <= 0:
                if bound is not None and self.model is None:
                    self._narrow_in(bound)
                elif bound is not None and not self.proven:
                    self._prove(bound, 0.0)
                return
        self._in_one_piece()

    def _in_one_piece(self) -> None:
        """The split week as one linear program; where it has no answer there is no plan."""
        split = self.built(split=True)
        split.problem = relaxed(split.problem)
        answer = split.problem.solve(
            seconds=max(1.0, self.seconds_left), threads=self.threads, watch=self.watch()
        )
        if answer.status == "no-plan":
            self.impossible = split
        elif answer.status == "optimal":
            bound = bound_of(split, answer)
            self.bound_cents = bound.gain_cents
            self.tell(self.gain_cents, bound.gain_cents)
            self._narrow_in(bound)

    def _at_once(self) -> None:
        """A first plan: likely ways, and what the promises need, on the days nearest the target: one day, or a few."""
        for count in FIRST_DAYS:
            if self.model is not None or self.stopped:
                return
            groups = tuple(near_target(group, count) for group in self.groups)
            if is_large(self.groups):
                first_plan(self, groups, max(FIRST_SECONDS, FIRST_SHARE * self.seconds_left))
                continue
            model = self.built(
                groups=groups,
                narrowed=lambda one: likely_ways(one, self.week, self.tree, self.shares_of[one.id]),
            )
            seconds = min(FIRST_SECONDS, max(0.1, self.seconds_left))
            watch = self.watch(math.inf)  # whatever it proves is of these few ways alone
            answer = model.problem.solve(gap=FIRST_GAP, seconds=seconds, threads=self.threads, watch=watch)
            self.keep(model, answer.values, answer.objective)

    def _narrow_in(self, bound: Bound) -> None:
        """A plan out of the best ways, then just so much wider a search that its gap is proven."""
        size = max(1.0, abs(bound.gain_cents))
        limit_cents = 0.0
        for share in FIRST_LOOK:
            before, limit_cents = self.gain_cents, share * size
            last = math.isinf(share)
            seconds = math.inf if last else LOOK_SHARE * self.seconds_left
            found = self.look(bound, limit_cents, min(0.5 * self.gap, 0.002), seconds)
            if found and self.gain_cents > before:
                break
            if last and not found and self.model is None:
                self.impossible = self.built(
                    finish=True
                )  # the whole week was searched: no plan keeps every promise
            if last or self.seconds_left <= 0 or self.proven:
                return
        if bound.gain_cents - self.gain_cents > 2.0 * self.gap * size and limit_cents < SECOND_LOOK * size:
            # The first plan is poor (a small week with tight hours): a better one makes the proof below cheaper.
            self.look(bound, SECOND_LOOK * size, min(0.5 * self.gap, 0.002), seconds=SECOND_LOOK_SECONDS)
        self._prove(bound, limit_cents)

    def _prove(self, bound: Bound, limit_cents: float) -> None:
        """Looks from this limit on, each just so much wider that the gap may be proven."""
        size = max(1.0, abs(bound.gain_cents))
        if self.gap <= KINDS_GAP and not is_large(self.groups):
            self._kinds_apart(bound)
        while not self.proven and self.seconds_left > 1.0 and not math.isinf(limit_cents):
            needed = (bound.gain_cents - self.wanted_cents) * 1.02 + 1e-7 * size
            limit_cents = max(needed, 1.5 * limit_cents)
            self.look(bound, limit_cents, 0.99 * self.gap)

    def _kinds_apart(self, bound: Bound) -> None:
        """Every kind by itself, so far from the bound as the proof needs: a nearer bound, and often a better plan."""
        if self.proven or self.seconds_left < 1.0:
            return
        limit_cents = (bound.gain_cents - self.wanted_cents) * 1.02 + 1e-7 * abs(bound.gain_cents)
        model = self.built(lambda group: replace(bound.losses[group.number], limit_cents=limit_cents))
        until = time.perf_counter() + KINDS_SHARE * self.seconds_left
        for found in kinds_apart(
            model, gap=0.25 * max(self.gap, OPTIMAL_GAP), threads=self.threads, start=self._start(model),
            seconds_left=lambda: min(self.seconds_left, until - time.perf_counter()),
            watch=Watch(stop=lambda: self.stopped),
        ):  # fmt: skip
            self.bound_cents = min(self.bound_cents, max(found.bound_cents, bound.gain_cents - limit_cents))
            self.tell(self.gain_cents, self.bound_cents)
            self._swap_in(model, found)
            if self.bound_cents <= self.wanted_cents:
                return

    def _swap_in(self, model: PlanModel, found: KindsApart) -> None:
        """All kinds as they were found by themselves; where that is no plan, one after another into the best known.

        Those that do not fit are solved anew, within what the others leave.
        """
        if self._sold(model, found.values):
            return
        too_much = [
            part for part in found.parts if not self._swapped(model, part, found.values[list(part.columns)])
        ]
        for part in too_much:
            known = self._start(model)
            if known is not None and not self.proven and self.seconds_left > 0:
                answer = within(model.problem, part, found.links, known).solve(
                    gap=0.25 * max(self.gap, OPTIMAL_GAP), seconds=LOOK_SHARE * self.seconds_left,
                    threads=self.threads, watch=Watch(stop=lambda: self.stopped),
                )  # fmt: skip
                if answer.values.size:
                    self._swapped(model, part, answer.values)

    def _swapped(self, model: PlanModel, part: Part, values: np.ndarray) -> bool:
        """Whether these values of the part make a plan with the best known's others."""
        known = self._start(model)
        if known is None:
            return False
        known[list(part.columns)] = values
        return self._sold(model, known)

    def _sold(self, model: PlanModel, values: np.ndarray) -> bool:
        """Keep the sides of `values` with the rest solved anew, if they make a plan together."""
        sold = sold_anew(model, values)
        if sold is not None:
            self.keep(model, sold, float(np.dot(model.problem.gains, sold)))
        return sold is not None


def near_target(group: SideGroup, count: int) -> SideGroup:
    """The group with no other days than the `count` nearest its target."""
    nearest = sorted(group.days, key=lambda day: abs((day - group.target).days))[:count]
    return replace(group, weight_kg={day: kg for day, kg in group.weight_kg.items() if day in nearest})
