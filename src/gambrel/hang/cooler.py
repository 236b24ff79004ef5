"""What a cooler log says: gaps and slips in the log itself, the room, and how the carcass cooled.

Limits and their sources:
- carcass 40 F (4.4 C) or less within 24 h, under the fascia of the round [federal carcass guidance,
  seen only as quoted elsewhere];
- holding room 34-38 F, under 40 F, no federal number [Univ. of Nebraska, beef.unl.edu, coolers];
- no muscle under 10 C before rigor, about 10 h [cold shortening: Savell et al.; the 10 h from memory];
- deep leg 55-70 F at 20 h in ordinary coolers [Kansas State Univ. report 557, 1972]; 7 C as end point,
  reached in 24-48 h by 4 of 14 chillers [Gigiel, 1998];
- humidity about 90 % in the chill [James and Bailey, 1986], 75-85 % after it [a dry-ageing guide; Dashdorj et
  al., 2016, 75-80 %].
The inspector in charge and the shop's own food-safety plan come before all of these.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from gambrel.hang.log_slips import clock_findings, gap_findings, once_each, without_unit_slips
from gambrel.hang.readings import Reading, show_c
from gambrel.measures import Findings
from gambrel.measures.units import c_from_f

LIMIT_C = c_from_f(40.0)
HOLDING_C = (c_from_f(34.0), c_from_f(38.0))
GUARD_C, GUARD_HOURS = 10.0, 10.0
DEEP_END_C, DEEP_HOURS = 7.0, 48.0
SLOW_DEEP_C, SLOW_DEEP_HOURS = c_from_f(70.0), 20.0
CHILL_HOURS = 24.0
LOADING_HOURS = 4.0
HOLD_ONLY_DAYS = 4
"""Days after a kill from which a room is judged as holding, not chilling."""
CHILL_HUMIDITY_PCT, HOLD_HUMIDITY_PCT = (75.0, 95.0), (75.0, 85.0)
LONGEST_GAP_MIN = 240.0
"""Common practice: a log read by hand is read several times a day."""


@dataclass(frozen=True, slots=True)
class CoolerReport:
    """Findings of a log, and the hours from the kill to a cold carcass and to a cold deep leg."""

    readings: int
    killed_at: datetime
    hours_to_limit: float | None
    hours_to_deep_end: float | None
    findings: Findings


def check_log(
    readings: Sequence[Reading], *, killed_at: datetime, longest_gap_min: float = LONGEST_GAP_MIN
) -> CoolerReport:
    """All that the log of one chill and the hold after it has to say; `readings` as written down."""
    findings = Findings()
    usable = _usable(readings, longest_gap_min, findings)
    _room(usable, killed_at, findings)
    to_limit = _first_at_or_under(usable, "carcass", LIMIT_C, killed_at)
    to_deep_end = _first_at_or_under(usable, "deep", DEEP_END_C, killed_at)
    _carcass(usable, killed_at, to_limit, findings)
    _deep(usable, killed_at, to_deep_end, findings)
    _cold_shortening(usable, killed_at, findings)
    return CoolerReport(len(readings), killed_at, to_limit, to_deep_end, findings)


def check_holding(readings: Sequence[Reading], *, longest_gap_min: float = LONGEST_GAP_MIN) -> Findings:
    """What the log of a room says where nothing chills any more: the log itself and the room, no carcass."""
    findings = Findings()
    usable = _usable(readings, longest_gap_min, findings)
    if usable:
        _room(usable, usable[0].at - timedelta(days=HOLD_ONLY_DAYS), findings)
    return findings


def _usable(readings: Sequence[Reading], longest_gap_min: float, findings: Findings) -> list[Reading]:
    """The readings that can be judged, once each and in order; what is wrong with the log itself is said."""
    clock_findings(readings, findings)
    usable = without_unit_slips(once_each(readings, findings), findings)
    gap_findings(usable, longest_gap_min, findings)
    return usable


def _room(readings: Sequence[Reading], killed_at: datetime, findings: Findings) -> None:
    """Runs of readings with the air or the humidity not as wanted."""

    def hold(reading: Reading) -> bool:
        return reading.hours_from(killed_at) >= CHILL_HOURS

    def too_warm(reading: Reading) -> bool:
        return (
            reading.air_c is not None
            and reading.air_c > LIMIT_C + 0.05
            and reading.hours_from(killed_at) >= LOADING_HOURS
        )

    def outside_range(reading: Reading) -> bool:
        air = reading.air_c
        return (
            air is not None
            and hold(reading)
            and not too_warm(reading)
            and not HOLDING_C[0] - 0.05 <= air <= HOLDING_C[1] + 0.05
        )

    def outside_humidity(reading: Reading) -> bool:
        low, high = HOLD_HUMIDITY_PCT if hold(reading) else CHILL_HUMIDITY_PCT
        return reading.humidity_pct is not None and not low <= reading.humidity_pct <= high

    for run in _runs(readings, too_warm):
        _say_run(
            run,
            "air",
            "under 40 F (4.4 C)",
            "Find out why, and tell whoever keeps the food-safety plan.",
            findings,
        )
    for run in _runs(readings, outside_range):
        _say_run(
            run,
            "air",
            "34 to 38 F (1.1 to 3.3 C) while holding",
            "Set the room; cold air dries and may freeze.",
            findings,
        )
    for run in _runs(readings, outside_humidity):
        wanted = "75 to 85 % while holding, up to 95 % in the first 24 h"
        _say_run(run, "humidity", wanted, "Dry air costs weight; wet air breeds slime.", findings)


def _say_run(run: Sequence[Reading], what: str, wanted: str, do: str, findings: Findings) -> None:
    first, last = run[0].at, run[-1].at
    span = f"{first}" if first == last else f"{first} to {last}"
    values = [value for reading in run if (value := reading.value(what)) is not None]
    low, high = min(values), max(values)
    show = show_c if what == "air" else (lambda value: f"{value:.0f} %")
    given = show(low) if low == high else f"{show(low)} to {show(high)}"
    findings.add(f"cooler log, {what}, {span}", given, wanted, do)


def _carcass(
    readings: Sequence[Reading], killed_at: datetime, reached_hours: float | None, findings: Findings
) -> None:
    """40 F under the fascia within 24 h."""
    wanted = "40 F (4.4 C) or less under the fascia within 24 h of the kill"
    known = _series(readings, "carcass", killed_at)
    where = f"cooler log, carcass at {killed_at + timedelta(hours=CHILL_HOURS)}"
    if not known:
        findings.add(
            where, "no carcass temperature in the log", wanted, "Read it under the fascia of the round."
        )
    elif reached_hours is None and known[-1][0] < CHILL_HOURS:
        findings.add(
            where,
            f"last read at {known[-1][0]:.1f} h: {show_c(known[-1][1])}",
            wanted,
            "Read it again at 24 h.",
        )
    elif reached_hours is None or reached_hours > CHILL_HOURS:
        findings.add(
            where,
            _reached(reached_hours, known[-1]),
            wanted,
            "Tell whoever keeps the food-safety plan; give the sides air and colder air.",
        )


def _reached(hours: float | None, last: tuple[float, float]) -> str:
    return (
        f"reached after {hours:.1f} h" if hours is not None else f"still {show_c(last[1])} at {last[0]:.1f} h"
    )


def _deep(
    readings: Sequence[Reading], killed_at: datetime, reached_hours: float | None, findings: Findings
) -> None:
    """Deep round: not above 70 F at 20 h, at 7 C by 48 h."""
    known = _series(readings, "deep", killed_at)
    slow = [
        (hours, value) for hours, value in known if hours >= SLOW_DEEP_HOURS and value > SLOW_DEEP_C + 0.05
    ]
    if slow:
        hours, value = slow[0]
        findings.add(
            f"cooler log, deep round at {killed_at + timedelta(hours=hours)}",
            f"{show_c(value)} at {hours:.1f} h",
            "55 to 70 F (13 to 21 C) at 20 h, as in ordinary coolers",
            "Slow: more air, sides apart; smell the round for bone sour when cutting.",
        )
    late = (
        reached_hours > DEEP_HOURS
        if reached_hours is not None
        else bool(known) and known[-1][0] >= DEEP_HOURS
    )
    if late:
        given = _reached(reached_hours, known[-1])
        findings.add(
            f"cooler log, deep round at {killed_at + timedelta(hours=DEEP_HOURS)}",
            given,
            "7 C (45 F) by 48 h",
            "Give it air and do not cut it warm.",
        )


def _cold_shortening(readings: Sequence[Reading], killed_at: datetime, findings: Findings) -> None:
    for probe in ("carcass", "deep"):
        early = [
            row
            for row in _series(readings, probe, killed_at)
            if row[0] < GUARD_HOURS and row[1] < GUARD_C - 0.05
        ]
        if early:
            hours, value = early[0]
            findings.add(
                f"cooler log, {probe} at {killed_at + timedelta(hours=hours)}",
                f"{show_c(value)} at {hours:.1f} h",
                f"not under {GUARD_C:.0f} C (50 F) in the first {GUARD_HOURS:.0f} h",
                "Cold shortening: expect tougher lean where cover is thin; chill more slowly at first.",
            )
            return


def _first_at_or_under(
    readings: Sequence[Reading], probe: str, limit_c: float, killed_at: datetime
) -> float | None:
    """Hours from the kill until the limit is first met, on a straight line between two readings."""
    before: tuple[float, float] | None = None
    for hours, value in _series(readings, probe, killed_at):
        if value <= limit_c + 1e-9:
            if before is None or before[1] == value:
                return hours
            return before[0] + (hours - before[0]) * (before[1] - limit_c) / (before[1] - value)
        before = (hours, value)
    return None


def _series(readings: Iterable[Reading], probe: str, killed_at: datetime) -> list[tuple[float, float]]:
    """(hours from the kill, C) of one probe, from the kill on."""
    rows = ((reading.hours_from(killed_at), reading.value(probe)) for reading in readings)
    return [(hours, value) for hours, value in rows if value is not None and hours >= 0]


def _runs(readings: Iterable[Reading], wrong: Callable[[Reading], bool]) -> list[list[Reading]]:
    """Stretches of readings that are all `wrong`."""
    runs: list[list[Reading]] = [[]]
    for reading in readings:
        if wrong(reading):
            runs[-1].append(reading)
        elif runs[-1]:
            runs.append([])
    return [run for run in runs if run]
