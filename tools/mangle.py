"""Thousands of mangled photographs through the reader: each reads or is refused with a sentence, in time.

    python tools/mangle.py --count 5000

Workers read one file after another and say so line by line; a worker that falls silent has hung, one that ends has
crashed, and both are started again behind the file they stopped at. Exit status 1 when a limit was broken.
"""

from __future__ import annotations

import argparse
import json
import os
import queue
import re
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

MOST_SECONDS = 10.0
MOST_GB = 1.5
SHOWN_EVERY = 500
"""After so many files the table is shown as it stands: a long run that is stopped has not been for nothing."""

SILENT_SECONDS = 120.0
"""A worker that says nothing for so long by the clock has hung; work is counted apart, for machines are busy."""


@dataclass
class Table:
    """What happened, by recipe."""

    outcomes: dict[str, Counter[str]] = field(default_factory=lambda: defaultdict(Counter))
    reasons: Counter[str] = field(default_factory=Counter)
    slowest_seconds: dict[str, float] = field(default_factory=lambda: defaultdict(float))
    most_gb: float = 0.0
    broken: list[str] = field(default_factory=list)

    def add(self, line: dict[str, Any]) -> None:
        self.outcomes[line["recipe"]][line["outcome"]] += 1
        if line.get("reason"):
            self.reasons[line["reason"]] += 1
        self.slowest_seconds[line["recipe"]] = max(self.slowest_seconds[line["recipe"]], line["seconds"])
        self.most_gb = max(self.most_gb, line["gb"])
        if line["outcome"] not in ("read", "refused") or line["seconds"] > MOST_SECONDS:
            self.broken.append(
                f"{line['file']}, {line['recipe']}: {line['outcome']}, {line['seconds']:.1f} s"
            )
        if line["gb"] > MOST_GB:
            self.broken.append(f"{line['file']}, {line['recipe']}: {line['gb']:.2f} GB")

    def count(self) -> int:
        return sum(counts.total() for counts in list(self.outcomes.values()))  # workers go on adding

    def show(self) -> None:
        read = sum(counts["read"] for counts in list(self.outcomes.values()))
        print(f"\n{self.count():,} files, {read:,} read, {self.count() - read:,} not")
        print(f"{'recipe':<16}{'files':>7}{'read':>7}{'refused':>9}{'other':>7}{'slowest, s':>12}")
        for recipe, counts in sorted(self.outcomes.items()):
            other = counts.total() - counts["read"] - counts["refused"]
            print(f"{recipe:<16}{counts.total():>7}{counts['read']:>7}{counts['refused']:>9}{other:>7}"
                  f"{self.slowest_seconds[recipe]:>12.2f}")  # fmt: skip
        for reason, count in self.reasons.most_common():
            print(f"{count:>7} refused: {reason}")
        print(f"most memory of one process and its helper: {self.most_gb:.2f} GB")
        for line in self.broken:
            print(f"BROKEN {line}")


def work(seeds: range, *, files_only: bool) -> None:
    """Read each mangled file and print one line of JSON; memory is this process's peak and its helpers' together."""
    from mangled import mangled, use_face

    from gambrel.files.photograph import read_photograph_file
    from gambrel.files.ribface_reading import read_photograph
    from gambrel.measures import CannotDo

    if not files_only:
        use_face()
    with tempfile.TemporaryDirectory() as folder:
        for seed in seeds:
            recipe, name, data = mangled(seed)
            path = Path(folder) / name
            path.write_bytes(data)
            print(json.dumps({"begun": seed, "recipe": recipe, "file": name}), flush=True)
            start, said = _cpu_seconds(), None
            try:
                if files_only:
                    read_photograph_file(path)
                    outcome = "read"
                else:
                    answer = read_photograph(path)
                    outcome, said = "read" if answer.refused is None else "refused", answer.reason
            except CannotDo as refusal:
                outcome, said = "refused", refusal.findings[0].given
            except Exception as error:  # noqa: BLE001 - this is what is being looked for
                outcome = f"raised {type(error).__name__}: {error}"
            if outcome == "refused" and not said:
                outcome = "no reason"
            line = {
                "done": seed,
                "recipe": recipe,
                "file": name,
                "outcome": outcome,
                "reason": said and kind_of(said),
                "seconds": _cpu_seconds() - start,
                "gb": _gb(),
            }
            print(json.dumps(line), flush=True)
            path.unlink()


def kind_of(sentence: str) -> str:
    """What a refusal has in common with others of its kind: the part before what to do, numbers left out."""
    start = sentence.split("; ")[0].split(": ")[0]
    return re.sub(r"\d[\d,.]*", "#", re.sub(r" \(.*\)", "", start))


def _cpu_seconds() -> float:
    """Work done by this process and its helpers: waiting for a busy machine is not the reader's doing."""
    spent = os.times()
    return spent.user + spent.system + spent.children_user + spent.children_system


def _gb() -> float:
    import resource

    own = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    helpers = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    return (own + helpers) / (1e9 if sys.platform == "darwin" else 1e6)


def watch(seeds: range, table: Table, *, files_only: bool) -> None:
    """Keep a worker going over `seeds` until all are done, whatever happens to it."""
    while len(seeds):
        program = [
            sys.executable,
            __file__,
            "--from",
            str(seeds.start),
            "--to",
            str(seeds.stop),
            "--by",
            str(seeds.step),
        ]
        worker = subprocess.Popen(program + ["--files-only"] * files_only, stdout=subprocess.PIPE, text=True)
        lines: queue.Queue[str | None] = queue.Queue()
        threading.Thread(target=_listen, args=(worker, lines), daemon=True).start()
        begun: dict[str, Any] = {}
        outcome = ""
        while not outcome:
            try:
                said = lines.get(timeout=SILENT_SECONDS)
            except queue.Empty:
                worker.kill()
                outcome = "hung"
                break
            if said is None:
                outcome = "crashed" if worker.wait() else "ended"
                break
            line = json.loads(said)
            if "done" in line:
                table.add(line)
                seeds = range(line["done"] + seeds.step, seeds.stop, seeds.step)
            else:
                begun = line
        worker.wait()
        if outcome != "ended":
            if not begun:
                raise RuntimeError(f"the worker {outcome} before its first file")
            table.add({**begun, "outcome": outcome, "seconds": SILENT_SECONDS, "gb": 0.0})
            seeds = range(begun["begun"] + seeds.step, seeds.stop, seeds.step)


def _listen(worker: subprocess.Popen[str], lines: queue.Queue[str | None]) -> None:
    assert worker.stdout is not None
    with worker.stdout:
        for line in worker.stdout:
            lines.put(line)
    lines.put(None)


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--count", type=int, default=5000, help="how many files")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, help="workers side by side")
    parser.add_argument("--files-only", action="store_true", help="decode them; do not look for a rib face")
    parser.add_argument("--from", dest="first", type=int, default=0, help="seed of the first file")
    parser.add_argument("--to", dest="last", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--by", dest="step", type=int, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.step:
        work(range(options.first, options.last, options.step), files_only=options.files_only)
        return 0
    table, start, last = Table(), time.perf_counter(), options.first + options.count
    parts = [range(options.first + number, last, options.jobs) for number in range(options.jobs)]
    watchers = [threading.Thread(target=watch, args=(part, table), kwargs={"files_only": options.files_only})
                for part in parts]  # fmt: skip
    for watcher in watchers:
        watcher.start()
    shown = 0
    while any(watcher.is_alive() for watcher in watchers):
        time.sleep(1)
        if table.count() // SHOWN_EVERY > shown // SHOWN_EVERY:
            shown = table.count()
            table.show()
    table.show()
    print(f"{options.count:,} files in {time.perf_counter() - start:.0f} s")
    return 1 if table.broken else 0


if __name__ == "__main__":
    sys.exit(main())
