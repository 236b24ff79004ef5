"""Reading the case and the lines of a log: values in metric units, and every slip a finding."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.case import HangCase, read_hang_case
from gambrel.hang.readings import Reading, read_reading
from gambrel.hang.report import hang_report
from gambrel.measures import CannotDo, Entry, Findings

GOOD: dict[str, Any] = {"kind": "bison", "side_hot": "356lb", "killed": date(2026, 3, 2)}


def read(fields: dict[str, Any]) -> tuple[HangCase | None, list[str]]:
    findings = Findings()
    case = read_hang_case(Entry(fields, "", findings), shipped_kinds())
    return case, [f"{finding.where}: {finding.wanted} {finding.do}" for finding in findings]


def good(**more: Any) -> HangCase:
    case, found = read({**GOOD, **more})
    assert case is not None and not found, found
    return case


def wrong(**more: Any) -> list[str]:
    case, found = read({**GOOD, **more})
    assert case is None and found
    return found


def test_the_least_a_case_needs():
    case, _ = read({"kind": "wagyu", "hot": "800lb"})
    assert case is not None and case.side_hot_kg == pytest.approx(400 * 0.45359237)
    assert case.hang_days == (10, 14, 28) and case.rail is None and case.cooler is None


def test_a_carcass_is_two_sides():
    assert good().side_hot_kg == pytest.approx(356 * 0.45359237)
    assert "one side" in wrong(hot="712lb")[0]
    case, found = read({"kind": "bison"})
    assert case is None and "Give one of the two." in found[0]


def test_a_weighing_by_date_counts_from_the_kill():
    case = good(weighing=[{"on": date(2026, 3, 9), "weight": "341lb"}, {"day": 3, "weight": "157kg"}])
    assert [one.day for one in case.weighings] == [7.0, 3.0]
    assert case.weighings[1].weight_kg == 157.0 and case.weighings[1].where == "weighing 2"


def test_a_scale_in_whole_pounds_is_less_sure():
    assert good(scale="2lb").model.noise_share == pytest.approx(2 / 356)
    assert good(scale="0.1lb").model.noise_share == good().model.noise_share


def test_a_side_on_the_rail_stays_to_its_latest_day_unless_said():
    side = {"id": "7 left", "hung": date(2026, 3, 2)}
    case = good(rail={"length": "6m"}, side=[side, {**side, "id": "8 left", "until": date(2026, 3, 4)}])
    assert case.rail is not None and case.rail.length_m == 6.0
    assert [one.until for one in case.rail.sides] == [date(2026, 3, 12), date(2026, 3, 4)]
    assert good(rail={"length": "20ft", "per_side": "18in"}).rail.metres_per_side == pytest.approx(0.4572)


def test_a_shops_own_kind_in_the_case():
    own = {"like": "grain-finished", "name": "cull cow", "hang_days": [5, 7, 9]}
    case, found = read({"kind": "cull", "side_hot": "300lb", "kinds": {"cull": own}})
    assert not found and case is not None and case.hang_days == (5, 7, 9)


def test_the_kill_time_may_stand_with_the_kill_day():
    case = good(killed=datetime(2026, 3, 2, 8, 30), reading=[{"time": datetime(2026, 3, 2, 9), "air": "38F"}])
    assert case.killed == date(2026, 3, 2) and case.cooler is not None
    assert case.cooler.killed_at == datetime(2026, 3, 2, 8, 30)
    assert case.cooler.readings[0].air_c == pytest.approx(10 / 3)


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"kind": "moose"}, "one of"),
        ({"side_hot": 356}, "weight with its unit"),
        ({"side_hot": "9000lb"}, "at most"),
        ({"side_hot": "-5lb"}, "at least"),
        ({"fat": "12in"}, "at most"),
        ({"fat": 0.4}, "length with its unit"),
        ({"on": date(2026, 3, 1)}, "a day from 2026-03-02 on"),
        ({"on": "last week"}, "a day such as"),
        ({"hang_days": [9, 7, 5]}, "rising"),
        ({"hang_days": "7"}, "rising"),
        ({"weighing": [{"weight": "300lb"}]}, "day = 9"),
        ({"weighing": [{"day": 2, "on": date(2026, 3, 4), "weight": "300lb"}]}, "Give one of the two."),
        ({"weighing": [{"day": 2, "weight": 300}]}, "weight with its unit"),
        ({"weighing": {"day": 2}}, "[[weighing]]"),
        ({"rail": {}}, "a length such as"),
        ({"rail": {"length": "6m"}, "side": [{"id": "a", "hung": date(2026, 3, 2)}] * 2}, "each side once"),
        ({"rail": {"length": "6m"}, "side": [{"id": "a", "hung": date(2026, 3, 2), "until": "2026-03-01"}]},
         "from 2026-03-02"),
        ({"side": [{"id": "a", "hung": date(2026, 3, 2)}]}, "a length such as"),
        ({"cooler": {}}, "[[reading]]"),
        ({"cooler": {"log": "a.csv"}, "reading": [{"time": datetime(2026, 3, 2, 9), "air": "38F"}]},
         "Give one of the two."),
        ({"reading": [{"time": datetime(2026, 3, 2, 9)}]}, "temperature or a humidity"),
        ({"reading": [{"time": "noon", "air": "38F"}]}, "a day and time"),
        ({"reading": [{"time": date(2026, 3, 2), "air": "38F"}]}, "time of day"),
        ({"reading": [{"time": "2026-03-02", "air": "38F"}]}, "time of day"),
        ({"reading": [{"time": "2026-03-02T09:00+02:00", "air": "38F"}]}, "time zone"),
        ({"reading": [{"time": "2026-03-02T09:00", "air": "38F", "air_c": 3}]}, "each temperature once"),
        ({"reading": [{"time": "2026-03-02T09:00", "air": 38}]}, "temperature with its unit"),
        ({"reading": [{"time": "2026-03-02T09:00", "humidity": 120}]}, "at most 100"),
        ({"side_hto": "300lb"}, "Did you mean side_hot?"),
    ],
)  # fmt: skip
def test_slips_are_findings(fields, says):
    assert any(says in line for line in wrong(**fields)), wrong(**fields)


def test_all_slips_at_once():
    case, found = read(
        {"kind": "moose", "side_hot": 3, "fat": "9kg", "on": "x", "weighing": [{}], "nonsense": 1}
    )
    assert case is None and len(found) >= 7


def test_a_date_needs_the_kill():
    case, found = read({"kind": "bison", "side_hot": "356lb", "on": date(2026, 3, 9)})
    assert case is None and "killed" in found[0]
    case, found = read(
        {"kind": "bison", "side_hot": "356lb", "weighing": [{"on": date(2026, 3, 9), "weight": "1lb"}]}
    )
    assert case is None and any("to count from" in line or "killed" in line for line in found)


anything = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=12)
    | st.dates()
    | st.datetimes(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=6,
)
names = st.sampled_from(
    ["kind", "side_hot", "hot", "fat", "killed", "on", "hang_days", "weighing", "rail", "side", "cooler",
     "reading", "kinds", "scale"]
)  # fmt: skip


@given(st.dictionaries(names | st.text(max_size=5), anything, max_size=6))
def test_no_case_breaks_the_reader(fields):
    case, found = read({**GOOD, **fields})
    assert (case is None) == bool(found)


@given(
    st.dictionaries(
        st.sampled_from(["time", "air", "air_f", "carcass_c", "deep", "humidity"]), anything, max_size=4
    )
)
def test_no_line_of_a_log_breaks_the_reader(fields):
    findings = Findings()
    reading = read_reading(Entry(fields, "row 2", findings))
    assert (reading is None) == bool(findings)


@given(st.datetimes(), st.floats(-50.0, 200.0))
def test_a_line_of_a_log_is_read_as_it_was_written(at, air_f):
    """Fahrenheit under air_f and the same with its unit under air are one temperature."""
    readings = []
    for field in ({"air_f": repr(air_f)}, {"air": f"{air_f:.12f}F"}):
        findings = Findings()
        reading = read_reading(Entry({"time": at.isoformat(), **field}, "row 2", findings))
        assert isinstance(reading, Reading), list(findings)
        readings.append(reading)
    assert readings[0].at == readings[1].at == at
    assert readings[0].air_c == pytest.approx(readings[1].air_c, abs=1e-9)
    assert readings[0].air_c == pytest.approx((air_f - 32) / 1.8, abs=1e-9)


def test_the_report_knows_today_and_the_window():
    report = hang_report(good(on=date(2026, 3, 9), fat="8mm"))
    assert report.today is not None and report.today.day == 7
    assert report.window is not None and report.window.says(date(2026, 3, 9)) == "ready"
    assert [row.day for row in report.days] == list(range(18))
    value = report.as_json()
    assert value["today"]["date"] == "2026-03-09" and value["window"]["state"] == "ready"
    assert value["days"][0]["kg"]["mean"] == pytest.approx(356 * 0.45359237)


def test_a_side_past_its_latest_day_is_said():
    assert "past its latest day" in next(iter(hang_report(good(on=date(2026, 3, 20))).findings)).do


def test_today_beyond_the_figures_is_refused():
    with pytest.raises(CannotDo, match="0 to 28 days"):
        hang_report(good(on=date(2026, 4, 20)))


def test_a_slip_in_a_weighing_stops_the_work():
    with pytest.raises(CannotDo, match="pounds typed as kilograms"):
        hang_report(good(weighing=[{"day": 2, "weight": "347kg"}]))
