"""What the answer holds: every part there when asked for, null when not."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.case import CoolerCase, HangCase, Rail, read_hang_case
from gambrel.hang.figures import loss_figures
from gambrel.hang.loss import LossModel
from gambrel.hang.rail import OnRail
from gambrel.hang.readings import Reading
from gambrel.hang.report import hang_report
from gambrel.hang.weighings import Weighing
from gambrel.measures import CannotDo, Entry, Findings

KINDS = shipped_kinds()
KILL = date(2026, 3, 2)


def case(**changes: Any) -> HangCase:
    kind = KINDS["grain-finished"]
    plain = HangCase(
        kind=kind,
        side_hot_kg=110.0,
        fat_mm=10.0,
        killed=KILL,
        on=None,
        hang_days=kind.hang_days,
        weighings=(),
        rail=None,
        cooler=None,
        model=LossModel.prior(kind, fat_mm=10.0, side_hot_kg=110.0),
    )
    return replace(plain, **changes)


def test_parts_not_asked_for_are_null():
    value = hang_report(case(killed=None)).as_json()
    assert [name for name, part in value.items() if part is None] == [
        "killed",
        "window",
        "today",
        "rail",
        "cooler",
    ]
    assert value["findings"] == [] and value["days"][3]["date"] is None


def test_chill_times_only_where_they_were_published():
    inside = hang_report(case()).as_json()["chill"]
    assert 19.0 <= inside["deep_leg_to_7c_hours"]["lean"] <= 22.0
    assert 24.5 <= inside["deep_leg_to_7c_hours"]["fat"] <= 27.0
    outside = hang_report(case(side_hot_kg=180.0)).as_json()["chill"]
    assert outside["deep_leg_to_7c_hours"] is None
    assert outside["heat_mj"] / inside["heat_mj"] == pytest.approx(180 / 110)


def test_lost_and_left_are_two_sides_of_one_figure():
    for day in hang_report(case()).days:
        assert day.kg.mean == pytest.approx(110.0 * (1 - day.lost_share.mean))
        assert day.kg.p05 == pytest.approx(110.0 * (1 - day.lost_share.p95))
        assert day.kg.p95 == pytest.approx(110.0 * (1 - day.lost_share.p05))


def test_the_days_go_a_week_past_the_latest_and_no_further_than_the_figures():
    assert hang_report(case()).days[-1].day == 28
    assert hang_report(case(hang_days=(10, 20, 60))).days[-1].day == 55
    assert hang_report(case(on=date(2026, 4, 16))).days[-1].day == 45


def test_rail_findings_come_with_the_answer():
    sides = tuple(OnRail(f"side {n}", KILL, date(2026, 3, 4)) for n in range(3))
    report = hang_report(case(rail=Rail(1.2, 0.6, sides)))
    assert [finding.where for finding in report.findings] == ["rail, 2026-03-02 to 2026-03-04"]
    days = report.as_json()["rail"]["days"]
    assert [(row["date"], row["sides"]) for row in days] == [(f"2026-03-0{n}", 3) for n in (2, 3, 4)]
    assert all(row["over_m"] == pytest.approx(0.6) for row in days)


def test_without_the_time_of_the_kill_the_log_starts_the_clock():
    readings = tuple(Reading(datetime(2026, 3, 2, 11 + n), f"row {n}", carcass_c=30.0 - n) for n in range(3))
    report = hang_report(case(cooler=CoolerCase(None, None, 240.0, readings)))
    assert report.cooler is not None and report.cooler.killed_at == datetime(2026, 3, 2, 11)


def test_a_log_without_a_reading_is_refused():
    with pytest.raises(CannotDo, match="at least one reading"):
        hang_report(case(cooler=CoolerCase("cooler.csv", None, 240.0, ())))


def test_an_odd_weighing_is_used_and_said():
    report = hang_report(case(weighings=(Weighing(1.0, 110.0 * 0.94, "weighing 1"),)))
    assert len(report.findings) == 1 and report.learned.weighings == 1
    assert report.learned.mean[0] > report.case.model.mean[0]


def test_all_slips_of_the_weighings_are_said_together():
    rows = (
        Weighing(1.0, 240.0, "weighing 1"),
        Weighing(2.0, 108.0, "weighing 2"),
        Weighing(2.0, 108.0, "weighing 3"),
    )
    with pytest.raises(CannotDo) as refusal:
        hang_report(case(weighings=rows))
    assert [finding.where for finding in refusal.value.findings] == ["weighing 1", "weighing 3"]


def test_a_kind_like_no_other_takes_the_row_of_its_species_and_finish():
    figures = loss_figures()
    cattle = {"grain": "grain-finished", "grass": "grass-finished", "mixed": "grass-finished"}
    for species, finish, row in (
        ("bison", "grass", "bison"),
        *(("cattle", *pair) for pair in cattle.items()),
    ):
        stranger = replace(KINDS["wagyu"], slug="stranger", like="stranger", species=species, finish=finish)
        assert figures.of(stranger) == figures.kinds[row]


def test_a_row_of_the_kinds_own_comes_before_the_kind_it_is_like():
    odd = replace(KINDS["bison"], like="wagyu")
    assert loss_figures().of(odd) == loss_figures().kinds["bison"]


@pytest.mark.parametrize("slug", sorted(KINDS))
def test_a_new_window_by_the_kind(slug):
    findings = Findings()
    read = read_hang_case(Entry({"kind": slug, "hot": "700lb", "killed": KILL}, "", findings), KINDS)
    assert read is not None
    window = hang_report(read).window
    assert window is not None
    assert (
        tuple((day - KILL).days for day in (window.earliest, window.target, window.latest))
        == KINDS[slug].hang_days
    )
