"""Middling weeks planned and compared with a second engine on the same rows: `python tools/second_engine.py 50 2`.

A line a week, so that a run that is stopped has told what it saw; weeks, animals a week, first seed.
"""

from __future__ import annotations

import random
import sys
import time
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests" / "plan")]

from conftest import COUNTER, SHOP, STEER, TREE, week_from  # type: ignore[import-not-found]  # noqa: E402
from test_second_engine import compared, middling  # type: ignore[import-not-found]  # noqa: E402

from gambrel.catalog.ways import read_tree  # noqa: E402
from gambrel.measures import Findings  # noqa: E402

SECONDS = 60.0


def main(count: int, animals: int, first: int) -> int:
    tree = read_tree((("small", tomllib.loads(TREE)),), Findings())
    week = week_from(SHOP + STEER + COUNTER)
    worst, columns, wrong, began = 0.0, [], [], time.perf_counter()
    for seed in range(first, first + count):
        both = compared(middling(week, random.Random(seed), animals), tree, seconds=SECONDS)
        columns.append(both.columns)
        worst = max(worst, abs(both.profit - both.second) / max(1.0, abs(both.second)))
        print(f"{seed}: {both}", flush=True)
        if not both.agree:
            wrong.append((seed, both))
    print(f"{count} weeks of {animals} animals, {min(columns)} to {max(columns)} columns: {count - len(wrong)} agree; "
          f"farthest apart {worst:.3%}; {time.perf_counter() - began:.0f} s; others: {wrong or 'none'}")  # fmt: skip
    return 1 if wrong else 0


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]]
    sys.exit(main(*(given + [50, 2, 2000][len(given) :])))
