"""What the log check finds, and that a good log gives nothing to find."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.hang.cooler import check_log
from gambrel.hang.readings import Reading
from gambrel.measures.units import c_from_f

KILL = datetime(2026, 3, 2, 9, 0)


def cooled(hours: float, start_c: float, air_c: float, half_hours: float) -> float:
    """Newton's law of cooling: halves its distance to the air every `half_hours`."""
    return air_c + (start_c - air_c) * math.exp(-math.log(2) * hours / half_hours)


def good_log(until_hours: int = 60) -> list[Reading]:
    """A room at 2 C; a carcass at 40 F by 21 h and a deep round at 7 C by 36 h; nothing cold before 10 h."""
    rows = []
    for number, hours in enumerate(range(0, until_hours + 1, 2), 2):
        rows.append(
            Reading(
                at=KILL + timedelta(hours=hours),
                where=f"row {number}",
                air_c=2.0,
                carcass_c=cooled(hours, 38.0, 2.0, 5.0),
                deep_c=cooled(hours, 39.0, 2.0, 11.0),
                humidity_pct=90.0 if hours < 24 else 82.0,
            )
        )
    return rows


def found(rows: list[Reading], **options: float):
    return list(check_log(rows, killed_at=KILL, **options).findings)


def test_a_good_log_gives_nothing_to_find():
    report = check_log(good_log(), killed_at=KILL)
    assert list(report.findings) == []
    assert report.readings == 31


def test_hours_to_40_f_and_to_7_c_are_those_of_the_curve():
    report = check_log(good_log(), killed_at=KILL)
    assert report.hours_to_limit == pytest.approx(5 * math.log2(36 / (c_from_f(40) - 2)), abs=0.3)
    assert report.hours_to_deep_end == pytest.approx(11 * math.log2(37 / 5), abs=0.3)


def test_a_gap_is_found_and_the_shop_may_allow_it():
    rows = [row for row in good_log() if not 30 < (row.at - KILL) / timedelta(hours=1) < 40]
    (finding,) = found(rows)
    assert finding.given == "10.0 h without a reading" and "2026-03-03 15:00:00" in finding.where
    assert found(rows, longest_gap_min=600.0) == []


def test_a_clock_that_goes_backwards():
    rows = good_log()
    rows[5], rows[6] = rows[6], rows[5]
    (finding,) = found(rows)
    assert finding.wanted == "times that go forward" and finding.where == "cooler log, row 7"


def test_the_same_reading_twice_and_another_of_the_same_time():
    rows = good_log()
    (finding,) = found([*rows[:4], replace(rows[3], where="row 99"), *rows[4:]])
    assert "repeats row 5" in finding.do
    (finding,) = found([*rows[:4], replace(rows[3], where="row 99", air_c=3.0), *rows[4:]])
    assert finding.given.startswith("another reading of the same time")


def test_air_over_the_limit_is_one_finding_a_run():
    rows = good_log()
    for number in (15, 16, 17):
        rows[number] = replace(rows[number], air_c=5.0 + number / 10)
    (finding,) = found(rows)
    assert finding.wanted == "under 40 F (4.4 C)" and finding.given == "43.7 F (6.5 C) to 44.1 F (6.7 C)"


def test_warm_air_while_sides_are_loaded_is_expected():
    rows = good_log()
    rows[0], rows[1] = replace(rows[0], air_c=9.0), replace(rows[1], air_c=7.0)
    assert found(rows) == []


@pytest.mark.parametrize("air_f", [33.0, 39.0, 20.0])
def test_air_outside_the_holding_range(air_f):
    rows = good_log()
    rows[20] = replace(rows[20], air_c=c_from_f(air_f))
    (finding,) = found(rows)
    assert finding.wanted.startswith("34 to 38 F") and finding.given.startswith(f"{air_f:.1f} F")


@pytest.mark.parametrize("air_f", [34.0, 36.0, 38.0])
def test_air_on_the_edges_of_the_holding_range_is_good(air_f):
    assert found([replace(row, air_c=c_from_f(air_f)) for row in good_log()]) == []


@pytest.mark.parametrize(
    ("row", "humidity", "wrong"),
    [(3, 94, False), (3, 97, True), (20, 90, True), (20, 70, True), (20, 76, False)],
)
def test_humidity_by_phase(row, humidity, wrong):
    rows = good_log()
    rows[row] = replace(rows[row], humidity_pct=humidity)
    assert bool(found(rows)) == wrong


def test_a_carcass_not_cold_by_24_hours():
    rows = [
        replace(row, carcass_c=cooled((row.at - KILL) / timedelta(hours=1), 38.0, 2.0, 8.0))
        for row in good_log()
    ]
    (finding,) = found(rows)
    assert finding.where == "cooler log, carcass at 2026-03-03 09:00:00"
    assert finding.given.startswith("reached after 31.") and "within 24 h" in finding.wanted


def test_a_log_that_ends_before_the_carcass_is_cold():
    (finding,) = found(good_log(until_hours=12))
    assert finding.given.startswith("last read at 12.0 h") and finding.do == "Read it again at 24 h."


def test_a_log_without_carcass_temperatures():
    (finding,) = found([replace(row, carcass_c=None) for row in good_log()])
    assert finding.given == "no carcass temperature in the log"


def test_a_carcass_that_never_gets_cold():
    (finding,) = found([replace(row, carcass_c=max(6.0, row.carcass_c or 0)) for row in good_log()])
    assert finding.given == "still 42.8 F (6.0 C) at 60.0 h"


def test_a_slow_deep_round():
    """Kansas State University report 557, 1972: 55-70 F at 20 h in ordinary coolers."""
    rows = [
        replace(row, deep_c=cooled((row.at - KILL) / timedelta(hours=1), 39.0, 2.0, 22.0))
        for row in good_log()
    ]
    slow, late = found(rows)
    assert "55 to 70 F" in slow.wanted and slow.given.endswith("at 20.0 h")
    assert late.wanted == "7 C (45 F) by 48 h"


def test_cold_shortening_guard():
    rows = [
        replace(row, carcass_c=cooled((row.at - KILL) / timedelta(hours=1), 38.0, 2.0, 2.0))
        for row in good_log()
    ]
    (finding,) = found(rows)
    assert "Cold shortening" in finding.do and finding.given.endswith("at 6.0 h")


@pytest.mark.parametrize(
    ("probe", "row", "typed_c"),
    [("air", 0, 36.0), ("air", 9, 36.0), ("carcass", 0, 101.0), ("carcass", 20, 37.0), ("deep", 25, 41.0)],
)
def test_fahrenheit_filed_under_celsius(probe, row, typed_c):
    rows = good_log()
    rows[row] = replace(rows[row], **{f"{probe}_c": typed_c})
    (finding,) = found(rows)
    assert finding.where == f"cooler log, row {row + 2}, {probe}" and finding.do.startswith("It says C")


@pytest.mark.parametrize(("probe", "row"), [("air", 0), ("air", 12), ("carcass", 2), ("deep", 2)])
def test_celsius_filed_under_fahrenheit(probe, row):
    rows = good_log()
    right_c = {"air": rows[row].air_c, "carcass": rows[row].carcass_c, "deep": rows[row].deep_c}[probe]
    rows[row] = replace(rows[row], **{f"{probe}_c": c_from_f(right_c)})
    (finding,) = found(rows)
    assert finding.do.startswith("It says F")


def test_a_fast_but_true_fall_over_a_long_gap_is_no_unit_slip():
    rows = [row for row in good_log() if not 0 < (row.at - KILL) / timedelta(hours=1) < 30]
    assert not [finding for finding in found(rows) if "It says" in finding.do]


def test_a_whole_log_in_the_wrong_unit_is_said_in_two_sentences():
    rows = [replace(row, air_c=36.0) for row in good_log()]
    first, rest = found(rows)
    assert first.where == "cooler log, row 2, air" and rest.given == "30 more readings like the first"


temperatures = st.none() | st.floats(-60.0, 130.0)
readings = st.builds(
    Reading,
    at=st.datetimes(min_value=KILL - timedelta(days=1), max_value=KILL + timedelta(days=30)),
    where=st.just("row"),
    air_c=temperatures,
    carcass_c=temperatures,
    deep_c=temperatures,
    humidity_pct=st.none() | st.floats(0.0, 100.0),
)


@given(st.lists(readings, max_size=12))
def test_any_log_gets_an_answer_in_words(rows):
    report = check_log(rows, killed_at=KILL)
    assert all(
        finding.where and finding.given and finding.wanted and finding.do for finding in report.findings
    )
    if report.hours_to_limit is not None:
        assert report.hours_to_limit >= 0


@given(st.lists(readings, min_size=1, max_size=8))
def test_a_log_written_twice_gives_a_finding_for_every_line(rows):
    assert sum(
        "one reading a time" in finding.wanted
        for finding in found(rows + [replace(row, where=f"again {n}") for n, row in enumerate(rows)])
    ) >= len(rows)
