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
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
OUT = ROOT / "bench-out"
ROWS = 10_000
RARE_FACES = {
    56_000_185: "of a large eye looked at again",
    56_000_049: "of a large rich eye looked at again",
    56_000_000: "of the largest and richest eye",
    56_000_234: "beside a card half hidden, looked at again",
    56_000_157: "looked at twice more",
}
"""Faces that take longest, by held-back seed, and what is rare about them."""
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
    with (
        tempfile.TemporaryFile() as out,
        tempfile.TemporaryFile() as complaints,
        tempfile.NamedTemporaryFile() as told,
    ):
        alone = [sys.executable, "-S", "-E", str(ROOT / "bench" / "alone.py"), told.name]
        subprocess.run([*alone, *words], stdout=out, stderr=complaints, cwd=folder, check=True)
        went = json.load(told)
        out.seek(0)
        complaints.seek(0)
        if went["exit_status"]:
            said = complaints.read().decode(errors="replace").strip().splitlines() or ["without a word"]
            raise NotThere(f"exit status {went['exit_status']}: {said[-1]}")
        scale = 1 / 1024**2 if sys.platform == "darwin" else 1 / 1024  # bytes there, kilobytes elsewhere
        return Run(went["wall_s"], went["max_rss"] * scale, out.read().decode())


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


def plans_of_every_size() -> list[Figure]:
    """Forty sides and four hundred over four weeks, and twelve beside the straightforward formulation."""
    figures = []
    for sides, gap, limit_s in ((40, 0.005, 30.0), (400, 0.02, 600.0)):
        plan = one_plan(sides, 28, gap, limit_s)
        name = f"plan, {sides} sides, 28 days"
        note = f"status {plan['status']}, processor {plan['processor_s']:.1f} s"
        first_s = plan["first_s"]
        figures += [
            Figure(f"{name}, to a gap of {100 * gap:g} %", "s", plan["seconds"], limit_s, note),
            Figure(f"{name}, its proven gap", "%", plan["gap_pct"], 100 * gap),
            Figure(f"{name}, the first plan", "s", first_s, 1.0 if sides == 40 else None),
            Figure(f"{name}, most memory", "MB", plan["peak_mb"], 2048.0),
        ]
    ours = one_plan(12, 14, 0.005, 60.0)
    straight = one_plan(12, 14, 0.005, max(20.0, 8.0 * ours["seconds"]), "--straight")
    times = straight["processor_s"] / ours["processor_s"]
    note = f"straightforward: {straight['status']}, gap {straight['gap_pct']:.2f} % after {straight['seconds']:.0f} s"
    figures.append(
        Figure("plan, 12 sides, processor time: ours over straightforward", "times", 1 / times, 0.2, note)
    )
    return figures


def one_plan(sides: int, days: int, gap: float, limit_s: float, *more: str) -> dict[str, Any]:
    """An example week planned in a process of its own."""
    planning = str(ROOT / "bench" / "planning.py")
    words = ("--one", str(sides), str(days), str(gap), str(limit_s), *more)
    plan: dict[str, Any] = json.loads(process(sys.executable, planning, *words).out.splitlines()[-1])
    return plan


def face_of_twelve_megapixels(folder: Path) -> list[Figure]:
    """Rendered faces read on one core, from file to answer, against OpenCV decoding the same JPEG; and memory."""
    import cv2

    face, large = rendered_face(50_300_001, folder), folder / "large.jpg"
    picture = cv2.imread(str(face))
    assert picture is not None
    cv2.imwrite(str(large), cv2.resize(picture, (8160, 6120)))
    least = least_times_s(face)
    decoding, reading = least.pop("OpenCV decodes it"), least.pop("from file to answer")
    stages = [Figure(f"rib face, {stage}", "s", seconds) for stage, seconds in least.items()]
    whole, of_fifty = (run("ribface", str(path), "--json") for path in (face, large))
    note = "one core, processor time, least of 12 taken in turn"
    return [
        Figure("rib face, 12 megapixels, OpenCV decodes it", "s", decoding, None, note),
        *stages,
        Figure("rib face, from file to answer", "s", reading),
        Figure("rib face, from file to answer over OpenCV's decoding", "times", reading / decoding, 3.0),
        *(rare_face(what, rendered_face(seed, folder)) for seed, what in RARE_FACES.items()),
        Figure("gambrel ribface, whole process", "s", whole.wall_s),
        Figure("gambrel ribface, 12 megapixels, most memory", "MB", whole.peak_mb, 600.0),
        Figure("gambrel ribface, 50 megapixels, most memory", "MB", of_fifty.peak_mb),
    ]


def rendered_face(seed: int, folder: Path) -> Path:
    """The rendered face of a held-back seed as a JPEG of 12 megapixels."""
    process(sys.executable, str(ROOT / "tools" / "faces" / "make_set.py"), "--out", str(folder), "--first",
            str(seed), "--count", "1")  # fmt: skip
    return next(folder.glob(f"*_{seed}.jpg"))


def rare_face(what: str, face: Path) -> Figure:
    least = least_times_s(face)
    reading, decoding = least["from file to answer"], least["OpenCV decodes it"]
    note = f"{1000 * reading:.0f} ms over {1000 * decoding:.0f}"
    return Figure(f"rib face {what}, the same", "times", reading / decoding, 3.0, note)


def least_times_s(face: Path) -> dict[str, float]:
    """Least processor seconds of OpenCV's decoding, of our own, of each stage, and of all from file to answer.

    They are taken in turn, so that a busy moment of the machine meets all of them alike.
    """
    import cv2
    import numpy as np

    from gambrel.files.photograph import read_photograph_file
    from gambrel.files.ribface_reading import read_photograph
    from gambrel.ribface.read import read_ribface
    from gambrel.ribface.reading import Reading

    cv2.setNumThreads(1)
    stored = np.frombuffer(face.read_bytes(), np.uint8)
    rounds: list[dict[str, float]] = []
    for _ in range(13):
        at = [time.process_time()]
        cv2.imdecode(stored, cv2.IMREAD_COLOR)
        at.append(time.process_time())
        photograph = read_photograph_file(face)
        at.append(time.process_time())
        reading = read_ribface(photograph.bgr, clock=time.process_time)
        if not isinstance(reading, Reading):
            raise NotThere(f"the rendered face is not read: {reading.sentence()}")
        del photograph  # its room is for the next
        at.append(time.process_time())
        read_photograph(face)
        rounds.append({"OpenCV decodes it": at[1] - at[0], "decoding": at[2] - at[1], **reading.times_s,
                       "from file to answer": time.process_time() - at[3]})  # fmt: skip
    return {name: min(taken[name] for taken in rounds[1:]) for name in rounds[0]}  # the first only warms up


def pages_of_ten_years() -> list[Figure]:
    """Every page on ten years of a busy shop, which is made once and kept beside the figures."""
    shop = OUT / "ten-years" / "shop"
    if not (shop.parent / "sign-ins.json").is_file():
        process(sys.executable, str(ROOT / "tools" / "ten_years.py"), str(shop))
    found = json.loads(
        process(sys.executable, str(ROOT / "tools" / "page_times.py"), str(shop), "--json").out
    )
    figures = []
    for one in found:
        if one["said"]:
            continue
        note = f"as {one['role']}, {one['kilobytes']:.0f} kB, processor {one['cpu_p95_ms']:.0f} ms"
        figures.append(Figure(f"{one['name']}, server time, 95 in 100", "ms", one["p95_ms"], 150.0, note))
        figures.append(Figure(f"{one['name']}, queries", "", one["queries"], 15.0))
    return figures


def labels() -> list[Figure]:
    """Labels and a recall, in a process of their own; the same with the shop's records is among its pages."""
    said = process(sys.executable, str(ROOT / "bench" / "labels.py")).out.splitlines()
    if not said:
        raise NotThere("bench/labels.py said nothing")
    rows = [line.rsplit(": ", 1) for line in said]
    return [
        Figure(what, "ms", float(took.removesuffix(" ms")), 150.0 if "label" in what else 200.0)
        for what, took in rows
    ]


def learning() -> list[Figure]:
    """One side more, 5,000 sides anew, and the forecast with what was learned, in a process of their own."""
    said = process(sys.executable, str(ROOT / "bench" / "learning.py")).out
    if not said:
        raise NotThere("bench/learning.py said nothing")
    took = json.loads(said)
    ratio = took["forecast_learned_s"] / took["forecast_s"]
    processor = f"processor {took['learned_processor_s']:.1f} s"
    return [
        Figure("yields, one side more", "ms", 1000 * took["update_s"], 50.0),
        Figure("yields, 5,000 sides learned anew", "s", took["learned_s"], 20.0, processor),
        Figure("yields, 5,000 sides, most memory", "MB", took["peak_mb"], 500.0),
        Figure("forecast by learned yields over by the book", "times", ratio, 1.0),
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
            *measured("plans of every size", plans_of_every_size),
            *measured("gambrel ribface", lambda: face_of_twelve_megapixels(folder)),
            *measured("labels", labels),
            *measured("learning", learning),
            *measured("gambrel demo", lambda: demo(folder)),
            *measured("pages of the shop", pages_of_ten_years),
        ]
    write(figures, where)
    return 1 if any(figure.value is None for figure in figures) else 0


if __name__ == "__main__":
    sys.exit(main())
