"""Slips in the writing of a cooler log: clock, duplicates, temperatures under the wrong unit, gaps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise

from gambrel.hang.readings import PROBES, Reading, show_c
from gambrel.measures import Finding, Findings
from gambrel.measures.units import c_from_f, f_from_c

SAID_ONE_BY_ONE = 3


def clock_findings(readings: Sequence[Reading], findings: Findings) -> None:
    """A finding wherever the clock goes backwards in the log as written."""
    for before, after in pairwise(readings):
        if after.at < before.at:
            findings.add(
                f"cooler log, {after.where}",
                f"{after.at} after {before.at}",
                "times that go forward",
                "Check the date, or the clock of the logger (set back an hour in autumn?).",
            )


def once_each(readings: Sequence[Reading], findings: Findings) -> list[Reading]:
    """One reading a moment, in order of time; the first written stands."""
    kept: dict[datetime, Reading] = {}
    for reading in readings:
        first = kept.setdefault(reading.at, reading)
        if first is reading:
            continue
        if replace(reading, where="") == replace(first, where=""):
            given, do = "the same reading again", f"Take one out: it repeats {first.where}."
        else:
            given, do = (
                "another reading of the same time",
                f"Check the time; {first.where} is used, this one is not.",
            )
        findings.add(f"cooler log, {reading.where}", f"{given}, {reading.at}", "one reading a time", do)
    return sorted(kept.values(), key=lambda reading: reading.at)


def without_unit_slips(readings: list[Reading], findings: Findings) -> list[Reading]:
    """The readings with temperatures under the wrong unit taken out and said."""
    for probe in PROBES:
        slips: list[Finding] = []
        last_good: float | None = None
        last_at = readings[0].at if readings else datetime.min
        for number, reading in enumerate(readings):
            value = reading.value(probe)
            if value is None:
                continue
            slip = _unit_slip(value, last_good, (reading.at - last_at) / timedelta(hours=1), probe)
            if slip is None:
                last_good, last_at = value, reading.at
                continue
            wanted = "a cooler's temperature" if last_good is None else f"about {show_c(last_good)}"
            slips.append(Finding(f"cooler log, {reading.where}, {probe}", show_c(value), wanted, slip))
            readings[number] = reading.without(probe)
        _say_slips(slips, probe, findings)
    return readings


def _say_slips(slips: list[Finding], probe: str, findings: Findings) -> None:
    """Each slip, or the first and their number when a whole log has them."""
    findings.extend(slips[:1] if len(slips) > SAID_ONE_BY_ONE else slips)
    if len(slips) > SAID_ONE_BY_ONE:
        given = f"{len(slips) - 1} more readings like the first"
        do = "Probably the logger or the heading says the wrong unit; all of them are left out."
        findings.add(f"cooler log, {probe}", given, "one unit in the log", do)


def _unit_slip(value_c: float, last_good_c: float | None, since_hours: float, probe: str) -> str | None:
    """What to do when the figure makes sense only in the other unit, else None.

    Nothing in a cooler warms by 10 C, and nothing cools by 10 C in an hour; over a longer gap it may.
    """
    as_f, as_c = c_from_f(value_c), f_from_c(value_c)
    typed_as_c = f"It says C; {value_c:.0f} F would be {as_f:.1f} C. Check the unit; it is left out."
    typed_as_f = f"It says F; {as_c:.0f} C would fit. Check the unit; it is left out."
    if value_c > (25.0 if probe == "air" else 45.0):
        return typed_as_c
    if value_c < -12.0 and as_c > -5.0:
        return typed_as_f
    if last_good_c is None:
        return None
    if value_c - last_good_c > 10 and abs(as_f - last_good_c) < 5:
        return typed_as_c
    fell_too_fast = last_good_c - value_c > 10 * max(since_hours, 1.0)
    return typed_as_f if fell_too_fast and abs(as_c - last_good_c) < 8 else None


def gap_findings(readings: Sequence[Reading], longest_gap_min: float, findings: Findings) -> None:
    """A finding for each stretch without a reading that is longer than the shop allows."""
    for before, after in pairwise(readings):
        gap_min = (after.at - before.at) / timedelta(minutes=1)
        if gap_min > longest_gap_min:
            findings.add(
                f"cooler log, {before.at} to {after.at}",
                f"{gap_min / 60:.1f} h without a reading",
                f"at most {longest_gap_min / 60:g} h between readings",
                "Say in the log why; nobody knows what the room did.",
            )
