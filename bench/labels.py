"""How long a label takes, and a recall through a large shop's packs held in memory."""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tools"))

from label_packs import MINCE, STEAK, TODAY, rules, spoiled

from gambrel.files.sheets.label import label_pdf
from gambrel.sell.label import make_label
from gambrel.sell.label_facts import LabelFacts
from gambrel.sell.price_code import LAYOUTS
from gambrel.sell.trace import Made, Node, graph, recall

TIMES = 15
LOTS, PACKS_A_LOT = 1000, 100


def label_ms(facts: LabelFacts, size: str) -> float:
    """Median wall time of one label, looked over, drawn and typeset, once a first one is made [ms]."""
    took = []
    for number in range(TIMES + 1):
        one = spoiled(facts, gtin="99521234543216", serial=f"P{number}")
        began = time.perf_counter()
        label = make_label(one, rules(), layout=LAYOUTS["upc-price-4"], item="00417")
        label_pdf([label], size=size, made_on=TODAY)
        took.append(1000 * (time.perf_counter() - began))
    return statistics.median(took[1:])


def labels_ms() -> dict[str, float]:
    """The plainest label, and the one with the most on it."""
    return {
        "steak, 3 x 4 in": label_ms(STEAK, "roll-medium"),
        "ground beef, 4 x 6 in": label_ms(MINCE, "roll-large"),
    }


def recall_ms() -> float:
    """Median of a recall by lot among 100,000 packs whose graph is in memory [ms]."""
    arrows = [Made(Node("side", str(lot)), Node("lot", str(lot))) for lot in range(LOTS)]
    arrows += [Made(Node("lot", str(lot)), Node("pack", f"{lot}-{pack}"))
               for lot in range(LOTS) for pack in range(PACKS_A_LOT)]  # fmt: skip
    arrows += [Made(Node("lot", str(lot)), Node("lot", f"G{lot // 10}")) for lot in range(LOTS)]
    arrows += [Made(Node("lot", f"G{batch}"), Node("pack", f"G{batch}-{pack}")) for batch in range(LOTS // 10)
               for pack in range(PACKS_A_LOT)]  # fmt: skip
    through, took = graph(arrows), []
    for lot in range(TIMES):
        began = time.perf_counter()
        found = recall(through, [Node("pack", f"{lot}-0")], from_kinds={"lot"})
        took.append(1000 * (time.perf_counter() - began))
        if len(found.packs) != 2 * PACKS_A_LOT:
            raise RuntimeError(f"{len(found.packs)} packs recalled, {2 * PACKS_A_LOT} were made of that lot")
    return statistics.median(took)


if __name__ == "__main__":
    for what, wall_ms in labels_ms().items():
        print(f"label of {what}: {wall_ms:.0f} ms")
    print(f"recall among {LOTS * PACKS_A_LOT:,} packs: {recall_ms():.2f} ms")
