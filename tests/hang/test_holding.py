"""A room where nothing chills any more: judged by its log and its air, never by a carcass that is not there."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from gambrel.hang.cooler import HOLDING_C, LIMIT_C, check_holding, check_log
from gambrel.hang.readings import Reading
from gambrel.measures.units import c_from_f

BEGAN = datetime(2026, 3, 9, 6)


def log(*air: float | None, step_hours: float = 2.0, humidity_pct: float | None = None) -> list[Reading]:
    return [
        Reading(
            BEGAN + timedelta(hours=step_hours * number),
            f"line {number + 1}",
            air_c=one,
            humidity_pct=humidity_pct,
        )
        for number, one in enumerate(air)
    ]


def said(readings: list[Reading], longest_gap_min: float = 240.0) -> str:
    return " ".join(
        finding.sentence() for finding in check_holding(readings, longest_gap_min=longest_gap_min)
    )


def test_a_room_that_holds_has_nothing_to_say() -> None:
    assert said(log(2.0, 2.1, 2.4, 1.9, 2.2)) == ""


def test_an_empty_log_has_nothing_to_say() -> None:
    assert said([]) == ""


def test_no_carcass_is_asked_for() -> None:
    """`check_log` of a chill asks for the carcass under the fascia; a holding room has none to give."""
    readings = log(2.0, 2.1, 2.4)
    assert "carcass" in " ".join(one.sentence() for one in check_log(readings, killed_at=BEGAN).findings)
    assert "carcass" not in said(readings)


@pytest.mark.parametrize("air_f", [34.0, 36.0, 38.0])
def test_the_holding_range_holds(air_f: float) -> None:
    """34 to 38 F [University of Nebraska, beef.unl.edu, coolers]."""
    assert said(log(*[c_from_f(air_f)] * 5)) == ""
    assert (c_from_f(34.0), c_from_f(38.0)) == HOLDING_C


@pytest.mark.parametrize("air_f", [30.0, 41.0, 45.0, 50.0])
def test_air_outside_it_is_said(air_f: float) -> None:
    assert said(log(*[c_from_f(air_f)] * 5)) != ""
    assert c_from_f(40.0) == LIMIT_C


def test_a_gap_is_told_by_its_length() -> None:
    assert "6.0 h without a reading" in said(log(2.0, 2.0, step_hours=6.0))
    assert said(log(2.0, 2.0, step_hours=6.0), longest_gap_min=360.0) == ""


def test_a_clock_that_goes_back_is_said() -> None:
    readings = log(2.0, 2.1, 2.2)
    assert "times that go forward" in said([readings[1], readings[0], readings[2]])


def test_fahrenheit_in_the_celsius_column_is_no_warm_room() -> None:
    """36 stands among figures of 2: it is 36 F, and the room is not called warm for it."""
    told = [finding.where for finding in check_holding(log(2.0, 2.1, 36.0, 2.0, 2.2))]
    assert len(told) == 1 and "line 3" in told[0]


@pytest.mark.parametrize("humidity_pct", [75.0, 80.0, 85.0])
def test_humidity_of_holding(humidity_pct: float) -> None:
    """75 to 85 % after the chill [Dashdorj et al., J. Anim. Sci. Technol. 58:20, 2016: 75-80 %; a dry-ageing guide]."""
    assert said(log(2.0, 2.0, 2.0, humidity_pct=humidity_pct)) == ""


@pytest.mark.parametrize("humidity_pct", [40.0, 60.0, 99.0])
def test_humidity_outside_it_is_said(humidity_pct: float) -> None:
    assert "%" in said(log(2.0, 2.0, 2.0, humidity_pct=humidity_pct))


def test_the_same_reading_twice_is_said_and_counted_once() -> None:
    readings = log(2.0, 2.1)
    again = replace(readings[0], where="line 9")
    assert "Take one out: it repeats line 1" in said([readings[0], again, readings[1]])


def test_another_reading_of_the_same_time_is_not_used() -> None:
    readings = log(2.0, 2.1)
    other = replace(readings[0], where="line 9", air_c=20.0)
    told = said([readings[0], other, readings[1]])
    assert "Check the time; line 1 is used, this one is not" in told
    assert "20.0" not in told, "the one that is not used warms no room"


@pytest.mark.parametrize(
    ("air", "wrong_lines"),
    [
        ((2.0, 5.0, 2.0), 1),
        ((5.0, 5.0, 2.0), 1),
        ((2.0, 5.0, 2.0, 2.0, 5.0), 2),
        ((2.0, 2.0, 2.0), 0),
        ((-2.0, -2.0, -2.0), 1),
    ],
    ids=["once", "two in a row are one matter", "twice", "never", "frozen"],
)
def test_what_lies_together_is_told_together(air: tuple[float, ...], wrong_lines: int) -> None:
    assert len(list(check_holding(log(*air)))) == wrong_lines


@pytest.mark.parametrize("count", [1, 2, 50, 400])
def test_a_log_of_any_length_is_looked_at(count: int) -> None:
    assert said(log(*[2.0] * count)) == ""


@pytest.mark.parametrize("hours", [0.5, 1.0, 3.9, 4.0])
def test_readings_within_the_allowed_time_are_no_gap(hours: float) -> None:
    """Four hours between readings of a log that is kept by hand is common practice; a shop's own plan may say less."""
    assert said(log(2.0, 2.0, 2.0, step_hours=hours)) == ""


@pytest.mark.parametrize(("hours", "gaps"), [(4.1, 2), (12.0, 2)])
def test_every_gap_is_told(hours: float, gaps: int) -> None:
    assert said(log(2.0, 2.0, 2.0, step_hours=hours)).count("without a reading") == gaps


def test_air_that_was_not_read_is_no_warm_air() -> None:
    assert said(log(2.0, None, None, 2.1, humidity_pct=80.0)) == ""
