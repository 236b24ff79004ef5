"""Speed and memory of the main job on this machine: a table on the screen and in bench-out/.

Every command is timed as a whole process, as a person waits for it; what it does inside is timed apart where
a target is set on that. A command that is not there or fails is a row that says so, and the exit status is 1.
"""

from __future__ import annotations

import csv
import importlib.util
import json
import os
import platform
import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "bench-out"
ROWS = 10_000
SIDE = """kind = "grain-finished"
sex = "steer"
age_months = 17
hot = "806lb"
days_hung = 14
fat = "0.5in"
ribeye = "12.6in2"
kph = 2.5
style = "boneless"
draws = 4000
seed = 1
"""


@dataclass(frozen=True)
class Figure:
    """One measured figure; no `target` where it only stands for comparison, no `value` where it failed."""

    what: str
    unit: str
    value: float | None
    target: float | None = None
    note: str = ""

    @property
    def verdict(self) -> str:
        if self.value is None:
            return "failed"
        if self.target is None:
            return ""
        return "met" if self.value <= self.target else "missed"

    def cells(self) -> list[str]:
        shown = "-" if self.value is None else f"{self.value:.3g}"
        target = "" if self.target is None else f"{self.target:g}"
        ratio = f"{self.value / self.target:.2f}" if self.value is not None and self.target else ""
        return [self.what, self.unit, shown, target, ratio, self.verdict, self.note]


class NotThere(Exception):
    """The command is not there yet, or ended in an error; the text says which."""


@dataclass(frozen=True)
class Run:
    """A finished process: seconds on the wall, most memory it held, what it printed."""

    wall_s: float
    peak_mb: float
    out: str


def run(*words: str, folder: Path = ROOT) -> Run:
    """One `gambrel` command as a process of its own, started in `folder`."""
    if words[0][0] != "-" and importlib.util.find_spec(f"gambrel.cli.{words[0]}") is None:
        raise NotThere(f"`gambrel {words[0]}` is not there")
    return process(str(Path(sys.executable).parent / "gambrel"), *words, folder=folder)


def process(*words: str, folder: Path = ROOT) -> Run:
    with tempfile.TemporaryFile() as out, tempfile.TemporaryFile() as complaints:
        began = time.perf_counter()
        child = subprocess.Popen(words, stdout=out, stderr=complaints, cwd=folder)
        _, status, used = os.wait4(child.pid, 0)
        wall_s = time.perf_counter() - began
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        complaints.seek(0)
        if child.returncode:
            said = complaints.read().decode(errors="replace").strip().splitlines() or ["without a word"]
            raise NotThere(f"exit status {child.returncode}: {said[-1]}")
        scale = 1 / 1024**2 if sys.platform == "darwin" else 1 / 1024  # bytes there, kilobytes elsewhere
        return Run(wall_s, used.ru_maxrss * scale, out.read().decode())


def median_wall_s(times: int, *words: str) -> float:
    run(*words)  # the first one only warms the disk
    return statistics.median(run(*words).wall_s for _ in range(times))


def start_of_python() -> list[Figure]:
    empty_s = statistics.median(process(sys.executable, "-c", "pass").wall_s for _ in range(7))
    help_s = median_wall_s(7, "--help")
    return [
        Figure("gambrel --help, whole process, median of 7", "s", help_s, 0.25),
        Figure(
            "the same over an empty Python process",
            "times",
            help_s / empty_s,
            None,
            f"empty: {empty_s:.3f} s",
        ),
    ]


def grades_of_a_table(folder: Path) -> list[Figure]:
    draw = random.Random(1)
    table = folder / "carcasses.csv"
    with table.open("w", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(["kind", "sex", "hot_lb", "fat_in", "ribeye_in2", "kph_pct", "marbling", "maturity"])
        for _ in range(ROWS):
            kind, sex = (
                draw.choice(["grain-finished", "grass-finished", "wagyu"]),
                draw.choice(["steer", "heifer"]),
            )
            sizes = [
                round(draw.uniform(550, 1000)),
                round(draw.uniform(0.1, 1.2), 2),
                round(draw.uniform(9, 17), 1),
            ]
            fats = [round(draw.uniform(1, 4), 1), round(draw.uniform(200, 900)), draw.choice("AAAB")]
            writer.writerow([kind, sex, *sizes, *fats])
    done = run("grade", "--table", str(table), "--json")
    lines = done.out.splitlines()
    if len(lines) != ROWS or not all("yield_grade" in json.loads(line) for line in lines):
        raise NotThere(f"{len(lines)} lines for {ROWS} rows, or a row without a grade")
    words = "grade --kind wagyu --sex steer --hot 750lb --fat 0.40in --ribeye 12.8in2 --kph 2.5 --json"
    one_s = median_wall_s(3, *words.split())
    times = one_s * ROWS / done.wall_s
    return [
        Figure(f"gambrel grade --table, {ROWS:,} rows", "s", done.wall_s, 2.0),
        Figure("the same by one process a carcass, over this", "times", times, None, f"one: {one_s:.3f} s"),
    ]


def forecast_of_a_side(folder: Path) -> list[Figure]:
    case = folder / "side.toml"
    case.write_text(SIDE)
    runs = [run("breakdown", str(case), "--json") for _ in range(5)]
    inside_s = statistics.median(in_process_s(case) for _ in range(5))
    pieces = len(json.loads(runs[0].out)["pieces"])
    note = f"{pieces} pieces"
    return [
        Figure("forecast of a side, 4,000 draws, in process, median of 5", "s", inside_s, 0.3, note),
        Figure(
            "gambrel breakdown, whole process, median of 5", "s", statistics.median(r.wall_s for r in runs)
        ),
        Figure("gambrel breakdown, most memory", "MB", max(r.peak_mb for r in runs), 300.0),
    ]


def in_process_s(case: Path) -> float:
    """The command without the start of Python and of its libraries: reading, forecasting, printing."""
    from click.testing import CliRunner

    from gambrel.cli.main import main

    began = time.perf_counter()
    answer = CliRunner().invoke(main, ["breakdown", str(case), "--json"])
    wall_s = time.perf_counter() - began
    if answer.exit_code:
        raise NotThere(f"exit status {answer.exit_code}: {answer.exception!r}")
    return wall_s


def plan_of_twelve_sides(folder: Path) -> list[Figure]:
    week = folder / "week.toml"
    week.write_text(run("plan", "--example", "12", "--days", "14", "--seed", "1").out)
    done = run("plan", str(week), "--json")
    plan = json.loads(done.out)
    note = f"status {plan['status']}, of it solving {plan['seconds']:.2f} s"
    return [
        Figure("gambrel plan, 12 sides, 14 days, whole process", "s", done.wall_s, 10.0, note),
        Figure("its proven gap", "%", 100 * plan["gap"], 0.5),
        Figure("gambrel plan, most memory", "MB", done.peak_mb),
    ]


def face_of_twelve_megapixels(folder: Path) -> list[Figure]:
    """A rendered face read on one core, against decoding the same JPEG; memory of the command as a whole."""
    import cv2
    import numpy as np

    from gambrel.ribface.read import read_ribface
    from gambrel.ribface.reading import Reading

    name, seed = "face.jpg", 50_300_001
    process(sys.executable, str(ROOT / "tools" / "faces" / "make_set.py"), "--out", str(folder), "--first",
            str(seed), "--count", "1")  # fmt: skip
    stored = next(folder.glob(f"*_{seed}.jpg")).rename(folder / name).read_bytes()
    cv2.setNumThreads(1)
    code = np.frombuffer(stored, np.uint8)
    decode_s, taken = [], []
    for _ in range(6):
        began = time.process_time()
        picture = cv2.imdecode(code, cv2.IMREAD_COLOR)
        decode_s.append(time.process_time() - began)
        reading = read_ribface(np.asarray(picture, np.uint8), clock=time.process_time)
        if not isinstance(reading, Reading):
            raise NotThere(f"the rendered face is not read: {reading.sentence()}")
        taken.append(dict(reading.times_s))
    stages = {stage: statistics.median(times[stage] for times in taken[1:]) for stage in taken[0]}
    decoding = statistics.median(decode_s[1:])
    whole = run("ribface", str(folder / name), "--json")
    times = (decoding + sum(stages.values())) / decoding
    return [
        Figure("rib face, 12 megapixels, decoding, one core", "s", decoding),
        *(Figure(f"rib face, {stage}", "s", seconds) for stage, seconds in stages.items()),
        Figure("rib face, decoding and reading over decoding alone", "times", times, 3.0),
        Figure("gambrel ribface, whole process", "s", whole.wall_s),
        Figure("gambrel ribface, most memory", "MB", whole.peak_mb, 600.0),
    ]


def demo(folder: Path) -> list[Figure]:
    done = run("demo", folder=folder)
    return [Figure("gambrel demo, whole process", "s", done.wall_s)]


def measured(name: str, measure: Callable[[], list[Figure]]) -> list[Figure]:
    """The figures, or one row that says why there are none."""
    try:
        return measure()
    except NotThere as why:
        return [Figure(name, "", None, None, str(why))]


def machine() -> str:
    names = Path("/proc/cpuinfo")
    lines = names.read_text().splitlines() if names.exists() else []
    models = {line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")}
    chip = ", ".join(sorted(models)) or platform.processor() or platform.machine()
    load = os.getloadavg()[0]
    return (f"{platform.platform()}, {chip}, {os.cpu_count()} cores, Python {platform.python_version()}, "
            f"load {load:.1f} when this began")  # fmt: skip


def write(figures: list[Figure], where: str) -> None:
    head = ["what", "unit", "figure", "target", "figure / target", "verdict", "note"]
    rows = [figure.cells() for figure in figures]
    OUT.mkdir(exist_ok=True)
    with (OUT / "bench.csv").open("w", newline="") as file:
        csv.writer(file).writerows([head, *rows])
    table = ["| " + " | ".join(row) + " |" for row in [head, ["---"] * len(head), *rows]]
    (OUT / "bench.md").write_text("\n".join([f"Measured on {where}.", "", *table, ""]))
    widths = [max(len(row[column]) for row in [head, *rows]) for column in range(len(head))]
    print(f"Measured on {where}.\n")
    for row in [head, *rows]:
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    print(f"\nWritten to {OUT.name}/bench.csv and bench.md.")


def main() -> int:
    where = machine()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        figures = [
            *measured("gambrel --help", start_of_python),
            *measured("gambrel grade --table", lambda: grades_of_a_table(folder)),
            *measured("gambrel breakdown", lambda: forecast_of_a_side(folder)),
            *measured("gambrel plan", lambda: plan_of_twelve_sides(folder)),
            *measured("gambrel ribface", lambda: face_of_twelve_megapixels(folder)),
            *measured("gambrel demo", lambda: demo(folder)),
        ]
    write(figures, where)
    return 1 if any(figure.value is None for figure in figures) else 0


if __name__ == "__main__":
    sys.exit(main())
