"""The alarm: since when a cut comes out heavier or lighter than foretold, by sums that forget what cancels out.

What was weighed has a place among the forecast's draws; its normal score is about 0 while the forecast is true. From
look to look the scores less `ALLOWANCE_SD` are added up, never below nothing, one sum for too heavy and one for too
light; a sum above the bound rings [Page, "Continuous inspection schemes", Biometrika 41, 1954]. How many looks pass
between false alarms is Siegmund's approximation ["Sequential Analysis", Springer, 1985]; with many cuts looked at, the
bound is set so high that all of them together ring falsely once in `FALSE_ALARM_LOOKS`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

from gambrel.learn.truth import SideTruth

ALLOWANCE_SD = 0.5
"""Half the departure that is to be found soonest: one standard deviation of the forecast."""

FALSE_ALARM_LOOKS = 400.0
"""A shop that cuts on two days a week looks four hundred times in four years."""

SIDES_ALIKE = 0.5
"""How far the scores of two sides of one day and kind go together: common practice takes two sides of one animal for
about as alike as they are different (from memory)."""

_FARTHEST = 3.0  # one wild weight must not ring by itself
_OVERSHOOT = 1.166


@dataclass(frozen=True, slots=True)
class Alarm:
    """`slug` comes out heavier (`is_heavier`) or lighter than foretold since `since`, over so many looks.

    `shift_sd` is by how much, in standard deviations of the forecast of one side; `times_bound_ratio` how far the sum
    is above the bound that rings.
    """

    slug: str
    since: date
    is_heavier: bool
    looks_count: int
    shift_sd: float
    times_bound_ratio: float


@dataclass(frozen=True, slots=True)
class Sum:
    """One running sum: its height in standard deviations, and how many looks ago it left nothing."""

    height_sd: float = 0.0
    looks_count: int = 0

    def plus(self, score_sd: float) -> Sum:
        """After one more look."""
        height_sd = self.height_sd + score_sd - ALLOWANCE_SD
        return Sum(height_sd, self.looks_count + 1) if height_sd > 0.0 else Sum()


def looks_between_alarms(bound_sd: float, shift_sd: float = 0.0) -> float:
    """Mean number of looks until one of the two sums of one cut rises above `bound_sd`, where the scores are off by
    `shift_sd`."""
    above, below = _one_sided(bound_sd, shift_sd), _one_sided(bound_sd, -shift_sd)
    return 1.0 / (1.0 / above + 1.0 / below)


def _one_sided(bound_sd: float, shift_sd: float) -> float:
    drift, wide = shift_sd - ALLOWANCE_SD, bound_sd + _OVERSHOOT
    if abs(drift) < 1e-9:
        return wide * wide
    return (math.exp(-2.0 * drift * wide) + 2.0 * drift * wide - 1.0) / (2.0 * drift * drift)


def bound_for(cuts_count: int, *, looks_count: float = FALSE_ALARM_LOOKS) -> float:
    """The bound in standard deviations with which so many cuts together ring falsely once in `looks_count`."""
    low, high = 0.0, 30.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (
            (middle, high) if looks_between_alarms(middle) < looks_count * cuts_count else (low, middle)
        )
    return 0.5 * (low + high)


def alarms(sides: Iterable[SideTruth]) -> tuple[Alarm, ...]:
    """The cuts that ring now, the surest first. Sides of one day and kind are one look; order does not matter."""
    looks = _looks(sides)
    if not looks:
        return ()
    bound_sd = bound_for(len(looks))
    found = []
    for slug, scores in looks.items():
        for sign in (1.0, -1.0):
            running = Sum()
            for _, score in scores:
                running = running.plus(sign * score)
            if running.height_sd > bound_sd:
                count = running.looks_count
                found.append(Alarm(slug, scores[-count][0], sign > 0.0, count,
                                   sign * (ALLOWANCE_SD + running.height_sd / count),
                                   running.height_sd / bound_sd))  # fmt: skip
    return tuple(sorted(found, key=lambda alarm: -alarm.times_bound_ratio))


def _looks(sides: Iterable[SideTruth]) -> dict[str, list[tuple[date, float]]]:
    """Day and score of every look, by cut, oldest first; the score has about the spread of one."""
    groups: dict[tuple[date, str], list[SideTruth]] = {}
    for side in sides:
        groups.setdefault((side.day, side.kind), []).append(side)
    looks: dict[str, list[tuple[date, float]]] = {}
    for day, kind in sorted(groups):
        together: dict[str, list[float]] = {}
        for side in groups[day, kind]:
            for slug, place_share in side.place_share.items():
                together.setdefault(slug, []).append(normal_score(place_share))
        for slug, scores in together.items():
            looks.setdefault(slug, []).append((day, _one_score(scores)))
    return looks


def _one_score(scores: Sequence[float]) -> float:
    count = len(scores)
    return sum(scores) / count * math.sqrt(count / (1.0 + (count - 1) * SIDES_ALIKE))


def normal_score(place_share: float) -> float:
    """The standard normal deviate with `place_share` (0 to 1) below it, at most three from nothing."""
    if place_share <= 0.0 or place_share >= 1.0:
        return math.copysign(_FARTHEST, place_share - 0.5)
    return max(-_FARTHEST, min(_FARTHEST, NormalDist().inv_cdf(place_share)))
