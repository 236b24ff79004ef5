"""The same side said in another way gives the same answer."""

from __future__ import annotations

import csv
import io
import json
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st

from gambrel.catalog.kinds import shipped_kinds
from gambrel.cli.main import main
from gambrel.hang.case import read_hang_case
from gambrel.hang.cooler import check_log
from gambrel.hang.readings import Reading
from gambrel.hang.report import hang_report
from gambrel.measures import Entry, Findings
from gambrel.measures.units import c_from_f

KILL = date(2026, 3, 2)


def answer(**fields: Any) -> dict[str, Any]:
    findings = Findings()
    case = read_hang_case(Entry({"kind": "grain-finished", **fields}, "", findings), shipped_kinds())
    findings.stop_if_any()
    assert case is not None
    return hang_report(case).as_json()


def same(one: Any, other: Any) -> bool:
    """Equal but for the rounding of floats."""
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float):
        return bool(one == pytest.approx(other, rel=1e-9, abs=1e-12))
    return bool(one == other)


@given(st.floats(150.0, 480.0), st.floats(0.0, 1.5))
def test_pounds_and_inches_or_kilograms_and_millimetres(side_lb, fat_in):
    metric = answer(side_hot=f"{side_lb * 0.45359237!r}kg", fat=f"{fat_in * 25.4:.14f}mm")
    assert same(answer(side_hot=f"{side_lb!r}lb", fat=f"{fat_in:.14f}in"), metric)


@given(st.floats(150.0, 480.0))
def test_one_side_or_the_carcass(side_lb):
    assert same(answer(side_hot=f"{side_lb!r}lb"), answer(hot=f"{2 * side_lb!r}lb"))


@given(st.lists(st.integers(1, 30), min_size=1, max_size=6, unique=True), st.randoms(use_true_random=False))
def test_weighings_by_day_or_by_date_in_any_order(days, shuffle):
    weights = {day: 370 * (0.985 - 0.0025 * day) for day in days}
    by_day = [{"day": day, "weight": f"{weights[day]:.3f}lb"} for day in days]
    by_date = [{"on": KILL + timedelta(days=day), "weight": f"{weights[day]:.3f}lb"} for day in days]
    shuffle.shuffle(by_date)
    one, other = (answer(side_hot="370lb", killed=KILL, weighing=rows) for rows in (by_day, by_date))
    assert same(one["days"], other["days"]) and same(one["loss"], other["loss"])


@given(st.floats(0.5, 2.0))
def test_a_side_twice_as_heavy_loses_twice_the_weight_when_both_are_big(scale):
    """Over 135 kg the share lost does not hang on the weight, given the fat."""
    one, other = (answer(side_hot=f"{kg}kg", fat="12mm") for kg in (140.0, 140.0 * (1 + scale)))
    for small, large in zip(one["days"], other["days"], strict=True):
        assert small["lost_share"]["mean"] == pytest.approx(large["lost_share"]["mean"], abs=1e-12)


def test_no_two_kinds_are_the_same():
    days = {slug: answer(kind=slug, side_hot="160kg")["days"][:15] for slug in shipped_kinds()}
    curves = {slug: tuple(row["lost_share"]["mean"] for row in rows) for slug, rows in days.items()}
    assert len(set(curves.values())) == len(curves)


def test_leaner_kinds_lose_more_than_fatter_ones():
    """Common practice and the reviews agree on the order: bison and grass-finished, grain-finished, Wagyu."""
    lost = {
        slug: answer(kind=slug, side_hot="160kg")["days"][14]["lost_share"]["mean"]
        for slug in shipped_kinds()
    }
    assert min(lost["bison"], lost["grass-finished"]) > lost["grain-finished"] > lost["wagyu"]


ROWS = [
    ("2026-03-02T10:00", 41.0, 98.0, 92),
    ("2026-03-02T16:00", 38.0, 62.0, 90),
    ("2026-03-02T22:00", 36.0, 48.0, 88),
    ("2026-03-03T04:00", 35.0, 43.0, 86),
    ("2026-03-03T12:00", 35.0, 41.0, 84),
    ("2026-03-03T18:00", 45.0, 39.0, 70),
]


def log_in(unit: str) -> str:
    out = io.StringIO()
    table = csv.writer(out)
    plain = unit in ("f", "c")
    table.writerow(
        ["time", *(f"{name}_{unit}" if plain else name for name in ("air", "carcass")), "humidity"]
    )
    for at, air_f, carcass_f, humidity in ROWS:
        values = [one if unit.lower() == "f" else (one - 32) / 1.8 for one in (air_f, carcass_f)]
        table.writerow([at, *(f"{value:.10f}{'' if plain else unit}" for value in values), humidity])
    return out.getvalue()


def cooler_answer(folder: Path, log: str) -> dict[str, Any]:
    (folder / "cooler.csv").write_text(log, "utf-8")
    text = (
        'kind = "wagyu"\nside_hot = "400lb"\n[cooler]\nlog = "cooler.csv"\nkilled_at = "2026-03-02T09:00"\n'
    )
    (folder / "side.toml").write_text(text + 'longest_gap = "5h"\n', "utf-8")
    result = CliRunner().invoke(main, ["hang", str(folder / "side.toml"), "--json"])
    assert result.exit_code == 0, result.output
    value: dict[str, Any] = json.loads(result.stdout)["cooler"]
    return value


@pytest.mark.parametrize("unit", ["c", "F", "C"])
def test_a_log_in_fahrenheit_or_celsius(tmp_path, unit):
    fahrenheit = cooler_answer(tmp_path, log_in("f"))
    assert len(fahrenheit["findings"]) >= 4  # gaps, a late carcass, warm air, dry air
    assert same(fahrenheit, cooler_answer(tmp_path, log_in(unit)))


@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_log_with_other_separators(tmp_path, separator):
    assert same(
        cooler_answer(tmp_path, log_in("f")), cooler_answer(tmp_path, log_in("f").replace(",", separator))
    )


def test_a_log_file_or_readings_in_the_case(tmp_path):
    from_file = cooler_answer(tmp_path, log_in("f"))
    rows = [{"time": at, "air": f"{air}F", "carcass": f"{carcass}F", "humidity": humidity}
            for at, air, carcass, humidity in ROWS]  # fmt: skip
    cooler = {"killed_at": datetime(2026, 3, 2, 9), "longest_gap": "300min"}
    in_case = answer(side_hot="400lb", reading=rows, cooler=cooler)["cooler"]
    assert same(from_file["hours_to_40f"], in_case["hours_to_40f"])
    assert same([finding["given"] for finding in from_file["findings"]],
                [finding["given"] for finding in in_case["findings"]])  # fmt: skip


@given(st.integers(-400, 400))
def test_a_log_of_another_week_gives_the_same_hours(days):
    """Only hours from the kill count, never the calendar."""
    shift = timedelta(days=days)
    reports = []
    for by in (timedelta(0), shift):
        rows = [
            Reading(datetime.fromisoformat(at) + by, "row", c_from_f(air), c_from_f(carcass), None, humidity)
            for at, air, carcass, humidity in ROWS
        ]
        reports.append(check_log(rows, killed_at=datetime(2026, 3, 2, 9) + by))
    assert reports[0].hours_to_limit == reports[1].hours_to_limit
    assert [f.given for f in reports[0].findings] == [f.given for f in reports[1].findings]
