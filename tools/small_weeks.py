"""Small weeks planned and compared with every plan there is: `python tools/small_weeks.py 200 1000` (first seed 1000).

By chance with few hours, overtime, few blocks and saws, meat on hand, a freezer, a later arrival. The same comparison
as tests/plan/test_small_weeks.py, which tries every day and way and sells with a solver of its own, on more weeks than
a test should take.
"""

from __future__ import annotations

import random
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "tests" / "plan")]

from conftest import COUNTER, SHOP, STEER, TREE, week_from  # type: ignore[import-not-found]  # noqa: E402
from test_small_weeks import best_by_trying, with_every_rule  # type: ignore[import-not-found]  # noqa: E402

from gambrel.catalog.ways import read_tree  # noqa: E402
from gambrel.measures import Findings  # noqa: E402
from gambrel.plan import solve_week  # noqa: E402
from gambrel.plan.shares import book_shares  # noqa: E402

NEAR_CENTS = 40
"""Money is rounded line by line: half a cent a line, some forty lines, and more where stock is sold."""


def main(count: int, first: int) -> int:
    tree = read_tree((("small", tomllib.loads(TREE)),), Findings())
    week = week_from(SHOP + STEER + 'sides = ["left"]\n' + COUNTER)
    worst, without, wrong = 0.0, 0, []
    for seed in range(first, first + count):
        one = with_every_rule(week, random.Random(seed))
        tried = best_by_trying(one, tree)
        plan = solve_week(one, tree=tree, shares=book_shares, gap=0.0)
        if tried is None:
            without += 1
            right = not plan.has_plan
        else:
            apart = abs(plan.profit_cents - tried) if plan.has_plan else float("inf")
            worst = max(worst, apart)
            right = apart <= NEAR_CENTS and plan.status == "optimal" and plan.bound_cents >= tried - 1
        if not right:
            wrong.append(seed)
    print(f"{count} small weeks: {count - len(wrong)} earn what the best of all plans earns ({without} have none); "
          f"farthest apart {worst:.1f} cents; others: {wrong or 'none'}")  # fmt: skip
    return 1 if wrong else 0


if __name__ == "__main__":
    given = [int(one) for one in sys.argv[1:]]
    sys.exit(main(*(given + [200, 1000][len(given) :])))
