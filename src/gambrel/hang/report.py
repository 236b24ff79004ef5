"""All that one case of a hanging side gives to say, as values and as JSON."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from gambrel.hang.case import CoolerCase, HangCase, Rail
from gambrel.hang.cooler import CoolerReport, check_log
from gambrel.hang.cooling import heat_mj, hours_to_7c
from gambrel.hang.figures import PARAMETERS
from gambrel.hang.loss import LossModel
from gambrel.hang.rail import RailDay, rail_by_day, rail_findings
from gambrel.hang.readings import Reading
from gambrel.hang.weighings import learn, weighing_oddities, weighing_slips
from gambrel.hang.window import Window, ready_window
from gambrel.measures import CannotDo, Estimate, Finding, Findings
from gambrel.measures.units import lb_from_kg

WARM_F, COLD_F = 102.0, 38.0
"""Deep round of a side at the kill (from memory) and the cooler it is brought to."""


@dataclass(frozen=True, slots=True)
class HangDay:
    """The side on one day: weight and share of the hot weight lost; no `date` when the kill is not known."""

    day: int
    date: date | None
    kg: Estimate
    lost_share: Estimate

    def as_json(self) -> dict[str, Any]:
        on = self.date.isoformat() if self.date else None
        return {"day": self.day, "date": on, "kg": self.kg.as_json(), "lost_share": self.lost_share.as_json()}


@dataclass(frozen=True, slots=True)
class HangReport:
    """The answer to one case. `findings` are oddities to look at; slips have already stopped the work."""

    case: HangCase
    learned: LossModel
    days: tuple[HangDay, ...]
    today: HangDay | None
    window: Window | None
    rail: tuple[RailDay, ...]
    cooler: CoolerReport | None
    findings: Findings

    def as_json(self) -> dict[str, Any]:
        case = self.case
        return {
            "kind": case.kind.slug,
            "side_hot_kg": case.side_hot_kg,
            "fat_mm": case.fat_mm,
            "killed": case.killed.isoformat() if case.killed else None,
            "hang_days": list(case.hang_days),
            "window": _window_json(self.window, case.on),
            "today": self.today.as_json() if self.today else None,
            "days": [day.as_json() for day in self.days],
            "loss": _loss_json(case.model, self.learned),
            "chill": _chill_json(case.side_hot_kg),
            "rail": _rail_json(case.rail, self.rail),
            "cooler": _cooler_json(self.cooler),
            "findings": [finding.as_json() for finding in self.findings],
        }


def hang_report(case: HangCase, log: Sequence[Reading] = ()) -> HangReport:
    """Weights by day, window, rail and cooler log of `case`; `log` holds the readings of its log file.

    `CannotDo` when a weighing is a slip or the day asked for lies beyond what the figures cover.
    """
    slips = weighing_slips(case.weighings, side_hot_kg=case.side_hot_kg, model=case.model)
    slips.stop_if_any()
    learned = learn(case.model, case.weighings, side_hot_kg=case.side_hot_kg)
    findings = weighing_oddities(case.weighings, side_hot_kg=case.side_hot_kg, model=case.model)
    window = ready_window(case.kind, case.killed, hang_days=case.hang_days) if case.killed else None
    today = None
    if case.on and case.killed:
        today = _day(case, learned, (case.on - case.killed).days)
        if window and case.on > window.latest:
            findings.add(
                "on", case.on, f"cut by {window.latest}", "It is past its latest day: cut it or say why not."
            )
    last = min(int(learned.last_day), max(case.hang_days[2] + 7, today.day if today else 0))
    days = tuple(_day(case, learned, number) for number in range(last + 1))
    rows: list[RailDay] = []
    if case.rail:
        length, each = case.rail.length_m, case.rail.metres_per_side
        rows = rail_by_day(case.rail.sides, length_m=length, metres_per_side=each)
        findings.extend(rail_findings(rows, length_m=length, metres_per_side=each))
    cooler = _cooler(case.cooler, log) if case.cooler else None
    return HangReport(case, learned, days, today, window, tuple(rows), cooler, findings)


def _day(case: HangCase, model: LossModel, number: int) -> HangDay:
    left = model.remaining_share(number)
    lost = Estimate(mean=1 - left.mean, p05=1 - left.p95, p95=1 - left.p05)
    on = case.killed + timedelta(days=number) if case.killed else None
    return HangDay(number, on, left.times(case.side_hot_kg), lost)


def _cooler(cooler: CoolerCase, log: Sequence[Reading]) -> CoolerReport:
    readings = [*cooler.readings, *log]
    if not readings:
        raise CannotDo([Finding("cooler log", "no readings", "at least one reading", "Check the log.")])
    # Without the time of the kill the chill is counted from the first reading: the kinder view of it.
    killed_at = cooler.killed_at or min(reading.at for reading in readings)
    return check_log(readings, killed_at=killed_at, longest_gap_min=cooler.longest_gap_min)


def _window_json(window: Window | None, on: date | None) -> dict[str, Any] | None:
    if window is None:
        return None
    days = {name: getattr(window, name).isoformat() for name in ("earliest", "target", "latest")}
    return {**days, "state": window.says(on) if on else None}


def _loss_json(prior: LossModel, learned: LossModel) -> dict[str, Any]:
    return {
        "prior": _parameters_json(prior),
        "learned": _parameters_json(learned),
        "weighings": learned.weighings,
        "weighing_noise_share": prior.noise_share,
        "last_day": prior.last_day,
        "days_source": prior.days_source,
    }


def _parameters_json(model: LossModel) -> dict[str, Any]:
    return {
        name: Estimate.normal(model.mean[i], model.covariance[i][i] ** 0.5).as_json()
        for i, name in enumerate(PARAMETERS)
    }


def _chill_json(side_hot_kg: float) -> dict[str, Any]:
    """Heat to take out; hours to 7 C in the deep leg, null where the published figures do not reach."""
    heat = heat_mj(side_lb=lb_from_kg(side_hot_kg), from_f=WARM_F, to_f=COLD_F)
    try:
        lean, fat = hours_to_7c(side_kg=side_hot_kg)
    except CannotDo:
        return {"heat_mj": heat, "deep_leg_to_7c_hours": None}
    return {"heat_mj": heat, "deep_leg_to_7c_hours": {"lean": lean, "fat": fat}}


def _rail_json(rail: Rail | None, rows: Sequence[RailDay]) -> dict[str, Any] | None:
    if rail is None:
        return None
    days = [
        {"date": row.day.isoformat(), "sides": row.sides, "metres": row.metres, "over_m": row.over_m}
        for row in rows
    ]
    return {"length_m": rail.length_m, "metres_per_side": rail.metres_per_side, "days": days}


def _cooler_json(report: CoolerReport | None) -> dict[str, Any] | None:
    if report is None:
        return None
    return {
        "readings": report.readings,
        "killed_at": report.killed_at.isoformat(),
        "hours_to_40f": report.hours_to_limit,
        "hours_to_deep_7c": report.hours_to_deep_end,
        "findings": [finding.as_json() for finding in report.findings],
    }
