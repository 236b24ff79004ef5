"""How long the shop takes to learn: one side more, 5,000 sides anew with the memory of it, and a forecast by it.

The sides are those of the simulated shop, drawn and not weighed; drawing them is not counted.
"""

from __future__ import annotations

import json
import os
import resource
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

# One thread: waiting threads of the algebra library count as work on a busy machine, and the ratio is of the work.
os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))

import numpy as np
import simulated_shop as simulated
from simulated_figures import BOOK, OF, block_test

from gambrel.breakdown.forecast import forecast_side
from gambrel.learn.shop_yields import ShopYields

SIDES, DAYS, SEED = 5000, 1800, 7
DRAWS, TIMES = 4000, 15


def median_s(*works: Callable[[], object]) -> list[float]:
    """Median processor seconds of each, taken in turn: a busy machine meets all alike. A first round warms up."""
    rounds = []
    for _ in range(TIMES + 1):
        took = []
        for work in works:
            began = time.process_time()
            work()
            took.append(time.process_time() - began)
        rounds.append(took)
    return [statistics.median(column) for column in zip(*rounds[1:], strict=True)]


def measured() -> dict[str, float]:
    """Seconds, but for the memory (MB, the process at its largest) and the ratio of the two forecasts."""
    rng = np.random.default_rng(SEED)
    drawn = simulated.season(rng, simulated.new_world(rng, OF), OF, SIDES // 2 + 1, days=DAYS)
    tests = [block_test(side) for side in drawn]
    began, processor = time.perf_counter(), time.process_time()
    yields = ShopYields.none(BOOK).learned(tests[:SIDES])
    learned_s, processor_s = time.perf_counter() - began, time.process_time() - processor
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    newest = tests[SIDES]
    models = yields.models(newest.animal, supplier=newest.supplier, cutter=newest.cutter)

    def forecast(learned: bool) -> object:
        return forecast_side(newest.animal, newest.ways, tree=OF.tree, cuts=OF.cuts, hung_kg=np.full(DRAWS, 170.0),
                             seed=1, learned=models if learned else None)  # fmt: skip

    def with_models() -> object:
        return yields.models(newest.animal, supplier=newest.supplier, cutter=newest.cutter) and forecast(True)

    plain_s, taught_s = median_s(lambda: forecast(False), with_models)
    (update_s,) = median_s(lambda: yields.updated(newest))
    return {
        "update_s": update_s,
        "learned_s": learned_s,
        "learned_processor_s": processor_s,
        "peak_mb": peak / (1024**2 if sys.platform == "darwin" else 1024),
        "forecast_s": plain_s,
        "forecast_learned_s": taught_s,
    }


if __name__ == "__main__":
    print(json.dumps(measured()))
