"""How long a scan, a label, a trace and a recall take: `python tools/selling_times.py FOLDER [--json]`.

Made for the shop that `tools/ten_years.py` fills: each is asked of packs all over the ten years, in this process, so
that what is timed is the server's own work. Scans sell packs: use a copy.
"""

from __future__ import annotations

import json
import logging
import math
import random
import sys
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

TIMES, SEED = 40, 11
MOST_MS = {"counter scan": 80.0, "label": 150.0, "trace of a pack": 200.0, "trace, wide": 200.0,
           "recall sheet": 200.0, "stock": 150.0, "takings": 150.0}  # fmt: skip


@dataclass(frozen=True)
class Timed:
    """95th percentile and median of one thing on the wall, the processor's 95th percentile, and the most allowed."""

    name: str
    p50_ms: float
    p95_ms: float
    cpu_p95_ms: float
    most_ms: float

    @property
    def good(self) -> bool:
        return self.p95_ms <= self.most_ms


def selling_times(folder: Path) -> list[Timed]:
    """Each of them `TIMES` times, after one to warm up."""
    from gambrel.shop.opening import open_shop
    from gambrel.shop.serving import keep_what_is_loaded

    open_shop(folder, make=False)
    keep_what_is_loaded()  # as the server does
    from gambrel.shop.records.models import ShopProfile

    ShopProfile.objects.filter(address="").update(address="Old Creamery Road, Cottonwood Bend")
    return [_timed(name, ask) for name, ask in _asked()]


def _asked() -> Iterator[tuple[str, Callable[[], Any]]]:
    from django.test import Client
    from django.urls import reverse

    from gambrel.shop.records.models import OnHand, Pack, Person

    client: Any = Client(headers={"host": "localhost"})
    client.force_login(Person.objects.filter(role="owner")[0],
                       backend="django.contrib.auth.backends.ModelBackend")  # fmt: skip
    draw = random.Random(SEED)
    most = Pack.objects.order_by("-pk").values_list("pk", flat=True)[0]
    first = Pack.objects.order_by("pk").values_list("pk", flat=True)[0]
    here = list(OnHand.objects.filter(place="freezer").values_list("pack_id", flat=True)[: TIMES + 2])

    def any_pack() -> int:
        return draw.randint(first, most)

    def scan() -> Any:
        sent = {"code": f"P{here.pop()}", "ticket": str(uuid.uuid4()), "key": str(uuid.uuid4())}
        return client.post(reverse("counter_sell"), sent)

    yield "counter scan", scan
    yield "label", lambda: client.get(reverse("label", args=[any_pack()]))
    yield "trace of a pack", lambda: client.get(reverse("trace"), {"code": any_pack()})
    yield "trace, wide", lambda: client.get(reverse("trace"), {"code": any_pack(), "wide": "on"})
    yield "recall sheet", lambda: client.get(reverse("recall_sheet"), {"code": any_pack()})
    yield "stock", lambda: client.get(reverse("stock"))
    yield "takings", lambda: client.get(reverse("counter_day"))


def _timed(name: str, ask: Callable[[], Any]) -> Timed:
    taken = []
    for number in range(TIMES + 1):
        began, began_cpu = time.perf_counter(), time.process_time()
        answer = ask()
        took = time.perf_counter() - began, time.process_time() - began_cpu
        if answer.status_code not in (200, 302):
            raise AssertionError(f"{name}: status {answer.status_code}")
        if number:
            taken.append(took)
    wall, cpu = (sorted(one[of] for one in taken) for of in range(2))
    place = math.ceil(0.95 * TIMES) - 1
    return Timed(name, 1000 * wall[TIMES // 2], 1000 * wall[place], 1000 * cpu[place], MOST_MS[name])


def main() -> int:
    logging.disable(logging.WARNING)
    found = selling_times(Path(sys.argv[1]))
    if "--json" in sys.argv:
        print(json.dumps([asdict(one) for one in found]))
        return 0
    print(f"{'':<18}{'p50 ms':>8}{'p95 ms':>8}{'cpu p95':>9}{'most':>7}")
    for one in found:
        mark = "" if one.good else " !"
        print(
            f"{one.name:<18}{one.p50_ms:>8.1f}{one.p95_ms:>8.1f}{one.cpu_p95_ms:>9.1f}{one.most_ms:>7.0f}{mark}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
