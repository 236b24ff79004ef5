"""Whether the forecast told the truth: how often what came lay in its intervals, over time, and where it leans.

Pieces of one side go wrong together, so a side counts as one: every share has an interval from the spread between
sides, not from the number of pieces. An alarm compares the newest sides with those before.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from gambrel.learn.chances import student_width

LEVELS_PCT = (50, 80, 90)
FEWEST_SIDES = 6
NEWEST_SIDES = 8
ALARM_SE = 3.0
"""The newest sides must lie this many standard errors below the rest. Were all sides alike and their shares normal,
a look would be a false alarm about once in 740 [the normal distribution beyond 3]."""


@dataclass(frozen=True, slots=True)
class SideTruth:
    """One side: `place_share` by piece, the share of the forecast's draws that lie below what was weighed (0 to 1);
    `ratio` by piece, weighed over the forecast's mean."""

    name: str
    kind: str
    day: date
    place_share: Mapping[str, float]
    ratio: Mapping[str, float]

    def inside_share(self, level_pct: int) -> float:
        """Share of its pieces inside the interval of this level."""
        edge = (1.0 - level_pct / 100.0) / 2.0
        inside = [edge <= place <= 1.0 - edge for place in self.place_share.values()]
        return sum(inside) / len(inside)


@dataclass(frozen=True, slots=True)
class Coverage:
    """How often what came lay inside, with the 90 % interval of that share; from so many sides."""

    level_pct: int
    inside_share: float
    low_share: float
    high_share: float
    sides_count: int

    @property
    def is_right(self) -> bool:
        return self.low_share <= self.level_pct / 100.0 <= self.high_share


@dataclass(frozen=True, slots=True)
class Bias:
    """A piece: weighed over forecast, the geometric mean with its 90 % interval; 1 where it leans nowhere."""

    slug: str
    ratio: float
    low_ratio: float
    high_ratio: float
    sides_count: int

    @property
    def leans(self) -> bool:
        """The interval leaves 1 out; of ten pieces that lean nowhere one still does so by chance."""
        return not self.low_ratio <= 1.0 <= self.high_ratio


def coverage(sides: Sequence[SideTruth], level_pct: int) -> Coverage:
    """Mean share inside over the sides, with its standard error between them. ValueError without a side."""
    if not sides:
        raise ValueError("no side, no coverage")
    mean, half = _mean_and_half([side.inside_share(level_pct) for side in sides])
    return Coverage(level_pct, mean, max(0.0, mean - half), min(1.0, mean + half), len(sides))


def biases(sides: Sequence[SideTruth]) -> tuple[Bias, ...]:
    """Every piece that three sides weighed, the farthest from 1 first."""
    logs: dict[str, list[float]] = {}
    for side in sides:
        for slug, ratio in side.ratio.items():
            if ratio > 0:
                logs.setdefault(slug, []).append(math.log(ratio))
    found = []
    for slug, values in logs.items():
        if len(values) >= 3:
            mean, half = _mean_and_half(values)
            found.append(
                Bias(slug, math.exp(mean), math.exp(mean - half), math.exp(mean + half), len(values))
            )
    return tuple(sorted(found, key=lambda one: -abs(math.log(one.ratio))))


def biases_by_kind(sides: Sequence[SideTruth]) -> dict[str, tuple[Bias, ...]]:
    """The same for the sides of each kind by themselves, kinds by name."""
    kinds = sorted({side.kind for side in sides})
    return {kind: biases([side for side in sides if side.kind == kind]) for kind in kinds}


def by_month(sides: Sequence[SideTruth], level_pct: int) -> tuple[tuple[date, Coverage], ...]:
    """The first day of each month with a side, and its coverage, oldest first."""
    months: dict[date, list[SideTruth]] = {}
    for side in sides:
        months.setdefault(side.day.replace(day=1), []).append(side)
    return tuple((month, coverage(months[month], level_pct)) for month in sorted(months))


def drifted(sides: Sequence[SideTruth], level_pct: int = 90) -> bool:
    """Whether the newest sides lie inside clearly less often than those before; never with few sides."""
    ordered = sorted(sides, key=lambda side: side.day)
    old, new = ordered[:-NEWEST_SIDES], ordered[-NEWEST_SIDES:]
    if len(old) < NEWEST_SIDES:
        return False
    was, now = ([side.inside_share(level_pct) for side in group] for group in (old, new))
    se = math.hypot(_se(was), _se(now))
    return sum(now) / len(now) < sum(was) / len(was) - ALARM_SE * max(se, 1e-9)


def verdict(sides: Sequence[SideTruth]) -> str:
    """How far to trust the intervals now: too-few, right, too-narrow or too-wide."""
    if len(sides) < FEWEST_SIDES:
        return "too-few"
    found = coverage(sides, 90)
    if found.is_right:
        return "right"
    return "too-narrow" if found.inside_share < 0.9 else "too-wide"


def _mean_and_half(values: Sequence[float]) -> tuple[float, float]:
    """Mean and half of Student's 90 % interval; one value alone has no spread, and gets the widest there is."""
    mean = sum(values) / len(values)
    return mean, student_width(len(values) - 1) * _se(values) if len(values) > 1 else 1.0


def _se(values: Sequence[float]) -> float:
    """Standard error of the mean."""
    mean = sum(values) / len(values)
    return math.sqrt(sum((one - mean) ** 2 for one in values) / max(1, len(values) - 1) / len(values))
