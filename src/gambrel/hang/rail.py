"""Metres of rail taken by day, and the days that hold more than the rail."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from gambrel.measures import Findings

METRES_PER_SIDE = 0.6
"""From memory: about 2 ft a hot side, 1.5 ft once cold. A shop measures its own."""

LONGEST_STAY_DAYS = 120


@dataclass(frozen=True, slots=True)
class OnRail:
    """One side on the rail, from the day it is hung to the day it is cut, both counted."""

    id: str
    hung: date
    until: date

    def hangs_on(self, day: date) -> bool:
        """Whether it takes rail on `day`; on its cutting day it still does, for it hangs that morning."""
        return self.hung <= day <= self.until


@dataclass(frozen=True, slots=True)
class RailDay:
    """What hangs on one day."""

    day: date
    sides: int
    metres: float
    over_m: float


def rail_by_day(
    sides: Sequence[OnRail], *, length_m: float, metres_per_side: float = METRES_PER_SIDE
) -> list[RailDay]:
    """One row a day from the first side hung to the last side cut."""
    if not sides:
        return []
    first, last = min(side.hung for side in sides), max(side.until for side in sides)
    rows = []
    for number in range((last - first).days + 1):
        day = first + timedelta(days=number)
        count = sum(side.hangs_on(day) for side in sides)
        metres = count * metres_per_side
        # A rail of 6 m holds ten sides of 0.6 m: the rounding of floats is not a shortage.
        over = metres - length_m
        rows.append(RailDay(day, count, metres, over if over > 1e-9 else 0.0))
    return rows


def rail_findings(rows: Iterable[RailDay], *, length_m: float, metres_per_side: float) -> Findings:
    """A finding for each run of days on which the sides need more rail than there is."""
    findings = Findings()
    for run in _runs([row for row in rows if row.over_m > 0]):
        worst = max(run, key=lambda row: row.over_m)
        out = math.ceil(worst.over_m / metres_per_side - 1e-9)
        span = _span(run[0].day, run[-1].day)
        findings.add(
            f"rail, {span}",
            f"{worst.sides} sides, {worst.metres:.1f} m",
            f"at most {length_m:.1f} m",
            f"Cut or move out {out} side{'s' if out > 1 else ''} by {run[0].day}, or hang fewer.",
        )
    return findings


def _runs(rows: Sequence[RailDay]) -> list[list[RailDay]]:
    runs: list[list[RailDay]] = []
    for row in rows:
        if runs and row.day - runs[-1][-1].day == timedelta(days=1):
            runs[-1].append(row)
        else:
            runs.append([row])
    return runs


def _span(first: date, last: date) -> str:
    return f"{first}" if first == last else f"{first} to {last}"
