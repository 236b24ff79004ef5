"""Kinds that fill one order with lumps of meat: no price sets them apart, and every plan there is can be counted."""

from __future__ import annotations

import itertools
import random
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from gambrel.optimize import Problem, Watch
from gambrel.plan.decompose import kinds
from gambrel.plan.decompose.kinds import KindsApart, Part, at_odds, kinds_apart, problem_of, united, within
from gambrel.plan.model import PlanModel


@dataclass
class Lumps:
    """Each kind is broken one of some ways, which gain so much and yield so many kg of what the order may be given."""

    ways: tuple[tuple[tuple[float, float], ...], ...]
    order_kg: float
    problem: Problem = field(default_factory=Problem)
    parts: list[Part] = field(default_factory=list)
    given: list[int] = field(default_factory=list)

    def __post_init__(self) -> None:
        for number, ways in enumerate(self.ways):
            taken = [self.problem.choice(gain=gain) for gain, _ in ways]
            given, waste = self.problem.variable(), self.problem.variable(gain=-30.0)
            rules = (
                self.problem.rule("one way", dict.fromkeys(taken, 1.0), low=1.0, high=1.0),
                self.problem.rule("what it yields", [(given, 1.0), (waste, 1.0)]
                                  + [(column, -kg) for column, (_, kg) in zip(taken, ways, strict=True)],
                                  low=0.0, high=0.0),
            )  # fmt: skip
            self.given.append(given)
            self.parts.append(Part(f"kind {number}", (*taken, given, waste), rules))
        filled = dict.fromkeys(self.given, 1.0)
        self.link = self.problem.rule("the order is met", filled, low=self.order_kg, high=self.order_kg)

    def best(self) -> float:
        """The most that any plan gains, every plan counted: what the order does not take is waste."""
        gains = []
        for plan in itertools.product(*self.ways):
            there_kg = sum(kg for _, kg in plan)
            if there_kg >= self.order_kg - 1e-9:
                gains.append(sum(gain for gain, _ in plan) - 30.0 * (there_kg - self.order_kg))
        return max(gains, default=-np.inf)

    def apart(self, monkeypatch: pytest.MonkeyPatch) -> list[KindsApart]:
        monkeypatch.setattr(kinds, "parts_of", lambda model: ((self.link,), tuple(self.parts)))
        return list(
            kinds_apart(self.model, gap=1e-7, seconds_left=lambda: 60.0, threads=1, watch=Watch(), start=None)
        )

    @property
    def model(self) -> PlanModel:
        """All that is asked of it here."""
        return cast(PlanModel, SimpleNamespace(problem=self.problem))

    def alone(self, number: int) -> Problem:
        gains = np.asarray(self.problem.gains)
        return problem_of(
            self.problem, self.parts[number], gains, (self.link,), self.problem.lows, self.problem.highs
        )


def drawn(seed: int, count: int = 3) -> Lumps:
    draw = random.Random(seed)
    ways = tuple(
        tuple((1000.0, 0.0) if not way else (1000.0 - draw.uniform(5.0, 200.0), draw.uniform(0.3, 6.0))
              for way in range(4))
        for _ in range(count)
    )  # fmt: skip
    return Lumps(ways, draw.uniform(1.0, 6.0))


LUMPS = Lumps((((1000.0, 0.0), (950.0, 4.0)), ((800.0, 0.0), (770.0, 1.0), (700.0, 5.0))), 5.0)
"""By hand: 950 + 770 = 1720 with 4 + 1 kg; 1000 + 700 = 1700 with 5 kg of the second; 1650 less waste is the worst."""


def test_the_count_of_every_plan_is_what_a_hand_finds() -> None:
    assert LUMPS.best() == pytest.approx(1720.0)


@pytest.mark.parametrize("seed", range(40))
def test_kinds_at_odds_are_solved_as_one_until_nothing_is_open(
    monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    """Two to four kinds: every bound holds, none is worse than the one before, and the last is the best plan's gain."""
    lumps = drawn(seed, count=2 + seed % 3)
    best = lumps.best()
    if not np.isfinite(best):
        pytest.skip("the kinds have not so much meat")
    found = lumps.apart(monkeypatch)
    bounds = [one.bound_cents for one in found]
    assert bounds == sorted(bounds, reverse=True)
    assert bounds[-1] == pytest.approx(best, rel=1e-6)
    assert {part.name for part in found[0].parts} == {part.name for part in lumps.parts}
    assert all(len(one.parts) == 1 for one in found[1:])


def test_kinds_by_themselves_do_not_close_what_one_lump_leaves_open(monkeypatch: pytest.MonkeyPatch) -> None:
    """By hand: split in halves the ways earn more than 1720, and no price of the order says otherwise."""
    apart, together = LUMPS.apart(monkeypatch)
    assert apart.bound_cents > 1720.0 + 1.0
    assert together.bound_cents == pytest.approx(1720.0)
    assert [part.name for part in together.parts] == ["kind 0 and kind 1"]
    assert float(np.dot(LUMPS.problem.gains, together.values)) == pytest.approx(1720.0)


def test_once_time_is_up_the_kinds_by_themselves_are_what_there_is(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[float] = []

    def seconds_left() -> float:
        asked.append(60.0 if len(asked) < 3 else 0.0)  # the split week, and two kinds
        return asked[-1]

    monkeypatch.setattr(kinds, "parts_of", lambda model: ((LUMPS.link,), tuple(LUMPS.parts)))
    found = list(kinds_apart(LUMPS.model, gap=1e-7, seconds_left=seconds_left,
                             threads=1, watch=Watch(), start=None))  # fmt: skip
    assert len(found) == 1 and found[0].bound_cents > 1720.0


def test_no_kind_by_itself_gives_an_order_more_than_it_takes() -> None:
    """However well giving is paid: 6 kg are there, the order takes 5."""
    lumps = Lumps((((0.0, 6.0),), ((0.0, 1.0),)), 5.0)
    gains = np.asarray(lumps.problem.gains)
    gains[lumps.given[0]] += 1000.0
    answer = problem_of(lumps.problem, lumps.parts[0], gains, (lumps.link,),
                        lumps.problem.lows, lumps.problem.highs).solve()  # fmt: skip
    assert answer.objective == pytest.approx(5 * 1000.0 - 30.0)


@pytest.mark.parametrize(
    ("other_kg", "wanted"),
    [(0.0, 700.0), (1.0, 700.0 - 30.0), (4.0, 770.0), (5.0, 800.0), (4.5, 770.0 - 15.0)],
)
def test_within_what_the_others_leave_by_hand(other_kg: float, wanted: float) -> None:
    """The second kind gives just what the first does not; of a lump too large the rest is waste at 30 a kg."""
    values = np.zeros(len(LUMPS.problem.gains))
    values[LUMPS.given[0]] = other_kg
    answer = within(LUMPS.problem, LUMPS.parts[1], (LUMPS.link,), values).solve()
    assert answer.objective == pytest.approx(wanted)


def test_within_more_than_the_order_takes_nothing_fits() -> None:
    values = np.zeros(len(LUMPS.problem.gains))
    values[LUMPS.given[0]] = 5.5
    assert within(LUMPS.problem, LUMPS.parts[1], (LUMPS.link,), values).solve().status == "no-plan"


def test_at_odds_are_those_who_give_where_most_is_lost() -> None:
    lumps = Lumps((((0.0, 9.0),), ((0.0, 9.0),), ((0.0, 9.0),)), 5.0)
    prices = np.zeros(len(lumps.problem.rows))
    values = np.zeros(len(lumps.problem.gains))
    values[lumps.given[0]], values[lumps.given[2]] = 4.0, 3.0

    def odds(dust_cents: float = 1.0) -> list[str]:
        found = at_odds(lumps.problem, (lumps.link,), prices, lumps.parts, values, dust_cents)
        return [part.name for part in found]

    assert odds() == []  # nothing is paid there
    prices[lumps.link] = -50.0
    assert odds() == ["kind 0", "kind 2"]  # 2 kg too many, at 50 each
    assert odds(99.0) == ["kind 0", "kind 2"] and odds(101.0) == []
    values[lumps.given[0]] = 2.0
    assert odds() == []  # just filled
    values[lumps.given[0]] = 0.0
    assert odds() == ["kind 2", "kind 0"]  # one alone gives too little: the first that may give comes to it
    values[lumps.given[2]] = 0.0
    assert odds() == ["kind 0", "kind 1"]
    lumps.parts = [united(lumps.parts)]
    assert odds() == []  # one is at odds with nobody


def test_united_parts_hold_what_each_held() -> None:
    first, second = LUMPS.parts
    both = united((second, first))
    assert both.name == "kind 1 and kind 0"
    assert both.columns == tuple(range(len(LUMPS.problem.gains)))
    assert set(both.rules) == {*first.rules, *second.rules}
    whole = problem_of(LUMPS.problem, both, np.asarray(LUMPS.problem.gains), (LUMPS.link,),
                       LUMPS.problem.lows, LUMPS.problem.highs)  # fmt: skip
    assert whole.solve().objective == pytest.approx(LUMPS.best())


@pytest.mark.parametrize("number", [0, 1])
def test_a_column_without_an_end_leaves_the_link_open_below(number: int) -> None:
    """What the other may give has no end, so that nothing must come from this kind; more than 5 kg may not."""
    row = next(row for row in LUMPS.alone(number).rows if row.sentence == "the order is met")
    assert row.low == -np.inf and row.high == pytest.approx(5.0)
