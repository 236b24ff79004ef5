"""The plan measured at every size, beside the straightforward formulation on the same engine.

`python bench/planning.py --most 400` prints every size and writes docs/plan-growth.csv and the plot drawn from it.
Every plan is a process of its own, as a person waits for it, so that its memory is its own too. The straightforward
formulation is given TIMES as long, and no longer: where it does not reach the gap by then, what is told is a least.
"""

from __future__ import annotations

import argparse
import csv
import json
import resource
import subprocess
import sys
import time
import tomllib
from dataclasses import asdict, dataclass, fields
from pathlib import Path

import growth

from gambrel.measures import Entry, Findings
from gambrel.optimize import Watch
from gambrel.plan import Progress, Week, example_week, read_week, solve_week

SIZES = ((10, 28), (20, 28), (40, 28), (80, 28), (160, 28), (400, 28))
GAP, LIMIT_S = 0.005, 600.0

TIMES, STRAIGHT_SIDES = 8.0, 40
"""The straightforward formulation is measured up to so many sides, and given so many times as long."""

DOCS = Path(__file__).resolve().parents[1] / "docs"


@dataclass(frozen=True)
class Planned:
    """How a plan went: wall and processor seconds, seconds to the first plan, gap in percent, most memory."""

    sides: int
    days: int
    seconds: float
    processor_s: float
    first_s: float | None
    gap_pct: float
    status: str
    peak_mb: float


def example(sides: int, days: int, seed: int = 1) -> Week:
    return read_week(Entry(tomllib.loads(example_week(sides=sides, days=days, seed=seed)), "", Findings()))


def plan_here(sides: int, days: int, gap: float, limit_s: float) -> Planned:
    """Plan an example week in this process."""
    week = example(sides, days)
    first: list[float] = []

    def told(so_far: Progress) -> None:
        if so_far.profit_cents is not None and not first:
            first.append(so_far.seconds)

    began = time.process_time()
    plan = solve_week(week, gap=gap, seconds=limit_s, progress=told)
    return Planned(sides, days, plan.seconds, time.process_time() - began, first[0] if first else None,
                   100 * plan.gap, plan.status, peak_mb())  # fmt: skip


def straight_here(sides: int, days: int, gap: float, limit_s: float) -> Planned:
    """The same week as one mixed-integer program with every day, piece and way in it, given to the solver whole."""
    from gambrel.catalog.ways import shipped_tree
    from gambrel.plan.look import with_styles
    from gambrel.plan.search import Search
    from gambrel.plan.shares import forecast_shares
    from gambrel.plan.sides import side_groups

    week = example(sides, days)
    first: list[float] = []
    began, processor = time.perf_counter(), time.process_time()
    tree = shipped_tree().trimmed(week.shop.trim)
    week = with_styles(week, tree, Findings())
    shares_of = {one.id: forecast_shares(one.animal, tree) for one in week.animals}
    search = Search(week, tree, side_groups(week, Findings()), shares_of, gap, began, limit_s, 2)
    problem = search.built().problem
    watch = Watch(found=lambda gain, bound: first.append(time.perf_counter() - began))
    answer = problem.solve(gap=gap, seconds=max(1.0, search.seconds_left), watch=watch)
    return Planned(sides, days, time.perf_counter() - began, time.process_time() - processor,
                   first[0] if first else None, min(999.0, 100 * answer.gap), answer.status, peak_mb())  # fmt: skip


def peak_mb() -> float:
    scale = 1 / 1024**2 if sys.platform == "darwin" else 1 / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * scale


def planned(sides: int, days: int, *, gap: float, limit_s: float, straight: bool = False) -> Planned:
    """The same in a process of its own."""
    words = [sys.executable, __file__, "--one", str(sides), str(days), str(gap), str(limit_s)]
    done = subprocess.run([*words, *(["--straight"] if straight else [])],
                          capture_output=True, text=True, check=True)  # fmt: skip
    return Planned(**json.loads(done.stdout.splitlines()[-1]))


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--one", nargs=4, metavar=("SIDES", "DAYS", "GAP", "SECONDS"))
    words.add_argument("--straight", action="store_true", help="the straightforward formulation")
    words.add_argument("--most", type=int, default=40, metavar="SIDES", help="the largest size to plan (40)")
    asked = words.parse_args()
    if asked.one:
        sides, days, gap, limit_s = asked.one
        here = straight_here if asked.straight else plan_here
        print(json.dumps(asdict(here(int(sides), int(days), float(gap), float(limit_s)))))
        return
    measured = []
    for sides, days in SIZES:
        if sides <= asked.most:
            measured += beside_straight(sides, days, straight=sides <= STRAIGHT_SIDES)
    if asked.most >= SIZES[-1][0]:
        write(measured, DOCS / "plan-growth.csv")
        (DOCS / "plan-growth.svg").write_text(growth.drawn(growth.read(DOCS / "plan-growth.csv")))


def beside_straight(sides: int, days: int, *, straight: bool = True) -> list[tuple[str, Planned]]:
    """Our plan of an example week, and the straightforward formulation's, one after the other."""
    found = [("ours", planned(sides, days, gap=GAP, limit_s=LIMIT_S))]
    print(found[0], flush=True)
    if straight:
        limit_s = max(20.0, TIMES * found[0][1].seconds)
        found.append(("straightforward", planned(sides, days, gap=GAP, limit_s=limit_s, straight=True)))
        print(found[1], flush=True)
    return found


def write(measured: list[tuple[str, Planned]], path: Path) -> None:
    with path.open("w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["way", *(field.name for field in fields(Planned))])
        for way, one in measured:
            figures = [
                f"{value:.3f}" if isinstance(value, float) else value for value in asdict(one).values()
            ]
            table.writerow([way, *figures])


if __name__ == "__main__":
    main()
