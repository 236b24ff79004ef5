"""`gambrel hang CASE.toml`: the side by day, its window, the rail and the cooler log."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import click

from gambrel.catalog.kinds import shipped_kinds
from gambrel.cli.report import answers, as_json, complain, print_json
from gambrel.files.reading import read_case, read_csv_rows
from gambrel.hang.case import HangCase, read_hang_case
from gambrel.hang.readings import PROBES, Reading, read_reading
from gambrel.hang.report import HangDay, HangReport, hang_report
from gambrel.measures import Entry, Findings
from gambrel.measures.units import lb_from_kg

_COLUMNS = ("time", "humidity", "humidity_pct", *(f"{p}{unit}" for p in PROBES for unit in ("", "_f", "_c")))


@click.command("hang")
@click.argument("case_file", metavar="CASE.toml", type=click.Path(path_type=Path))
@as_json
@answers
def command(case_file: Path, as_json: bool) -> None:
    """What a hanging side weighs day by day, when it is ready, and what the rail and the cooler log say."""
    findings = Findings()
    case = read_hang_case(read_case(case_file, findings), shipped_kinds())
    findings.stop_if_any()
    if case is None:
        raise AssertionError("a case without findings is a case")
    log = _read_log(case, case_file.parent)
    report = hang_report(case, log)
    if as_json:
        print_json(report.as_json())
        return
    print("\n".join(_lines(report)))
    complain(report.findings, word="look at")
    if report.cooler:
        complain(report.cooler.findings, word="look at")


def _read_log(case: HangCase, folder: Path) -> list[Reading]:
    """The readings of the log file named in the case, looked for beside the case."""
    if case.cooler is None or case.cooler.log is None:
        return []
    findings = Findings()
    readings = []
    path = folder / case.cooler.log
    for number, row in read_csv_rows(path, {"the time of reading": ("time",)}, findings):
        known = {name: cell for name, cell in row.items() if name in _COLUMNS}
        reading = read_reading(Entry(known, f"{path.name} row {number}", findings))
        if reading is not None:
            readings.append(reading)
    findings.stop_if_any()
    return readings


def _lines(report: HangReport) -> Iterator[str]:
    case = report.case
    fat = "fat cover not known" if case.fat_mm is None else f"fat cover {case.fat_mm:.0f} mm"
    yield f"{case.kind.name}, hot side {_both(case.side_hot_kg)}, {fat}"
    if report.window:
        window = report.window
        state = f"; on {case.on} it is {window.says(case.on)}" if case.on else ""
        yield f"cut from {window.earliest}, best {window.target}, not after {window.latest}{state}"
    else:
        yield "cut from day {}, best day {}, not after day {}".format(*case.hang_days)
    if report.today:
        yield f"today, day {report.today.day}: {_weight(report.today)}"
    yield ""
    yield from _table(report)
    yield ""
    count = report.learned.weighings
    weighings = f"{count} weighing{'' if count == 1 else 's'} of this side"
    yield f"Ranges hold the weight 9 times in 10. Learned from {weighings}."
    yield from _rail_lines(report)
    yield from _cooler_lines(report)


def _table(report: HangReport) -> Iterator[str]:
    notes = dict(zip(reversed(report.case.hang_days), ("latest", "target", "earliest"), strict=True))
    yield f"{'day':>3}  {'date':<10}  {'lb':>6}  {'lb, 9 in 10':>13}  {'kg':>6}  {'lost':>6}"
    for row in report.days:
        low, high = lb_from_kg(row.kg.p05), lb_from_kg(row.kg.p95)
        words = [notes.get(row.day, ""), "today" if row == report.today else ""]
        line = (
            f"{row.day:>3}  {row.date or ''!s:<10}  {lb_from_kg(row.kg.mean):6.1f}  {low:6.1f}-{high:<6.1f}"
            f"  {row.kg.mean:6.1f}  {row.lost_share.mean:6.1%}  {', '.join(word for word in words if word)}"
        )
        yield line.rstrip()


def _rail_lines(report: HangReport) -> Iterator[str]:
    rail = report.case.rail
    if rail is None:
        return
    yield ""
    yield f"rail: {rail.length_m:.1f} m, {rail.metres_per_side:.2f} m a side"
    for row in report.rail:
        over = f"  over by {row.over_m:.1f} m" if row.over_m else ""
        yield f"{row.day}  {row.sides:>3} side{' ' if row.sides == 1 else 's'}  {row.metres:5.1f} m{over}"


def _cooler_lines(report: HangReport) -> Iterator[str]:
    cooler = report.cooler
    if cooler is None:
        return
    yield ""
    yield f"cooler log: {cooler.readings} readings, counted from {cooler.killed_at}"
    if cooler.hours_to_limit is not None:
        yield f"carcass at 40 F after {cooler.hours_to_limit:.1f} h"
    if cooler.hours_to_deep_end is not None:
        yield f"deep round at 7 C after {cooler.hours_to_deep_end:.1f} h"
    count = len(cooler.findings)
    yield f"{count or 'no'} thing{'' if count == 1 else 's'} to look at"
    yield "The inspector in charge and your own food-safety plan come before this check."


def _both(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):.1f} lb ({weight_kg:.1f} kg)"


def _weight(day: HangDay) -> str:
    low, high = lb_from_kg(day.kg.p05), lb_from_kg(day.kg.p95)
    return f"{_both(day.kg.mean)}, {low:.1f} to {high:.1f} lb, {day.lost_share.mean:.1%} lost"
