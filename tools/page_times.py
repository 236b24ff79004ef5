"""How long the server takes for every page, and how many queries: `python tools/page_times.py FOLDER [--json]`.

Each page that answers a GET is asked as the first of owner, cutter and counter who may open it, in this process, so
that what is timed is the server's own work. A page whose address names a record is asked for the newest one.
"""

from __future__ import annotations

import json
import logging
import math
import sys
import time
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

TIMES = 20
EVERYTHING = ("everything_zip", "everything_xlsx")
"""Files of every table: millions of lines, sent piece by piece while they are read. They are no pages and not timed."""
MOST_MS, MOST_QUERIES = 150.0, 15
FORMS_ONLY, NO_RECORD = "takes forms only", "no record of the kind that its address names"


@dataclass(frozen=True)
class PageTime:
    """One page: 95th percentile of its server time and of the processor's, queries, size of the answer."""

    name: str
    path: str
    role: str
    p95_ms: float
    cpu_p95_ms: float
    queries: int
    kilobytes: float
    said: str = ""

    @property
    def good(self) -> bool:
        return not self.said and self.p95_ms <= MOST_MS and self.queries <= MOST_QUERIES


def page_times(folder: Path) -> list[PageTime]:
    """Every page on the shop in `folder`, which stays as it is."""
    from gambrel.shop.opening import open_shop
    from gambrel.shop.serving import keep_what_is_loaded

    open_shop(folder, make=False)
    keep_what_is_loaded()  # as the server does
    return [timed(*one, times=TIMES) for one in addresses() if one[0] not in EVERYTHING]


def addresses() -> Iterator[tuple[str, str, frozenset[str]]]:
    """Name, path and roles of every page; those for programs are left out."""
    from django.urls import URLPattern, get_resolver, reverse

    for pattern in _flat(get_resolver().url_patterns):
        roles = getattr(pattern.callback, "roles", None) if isinstance(pattern, URLPattern) else None
        if roles is None or not pattern.name:
            continue
        needed = {name: sample_of(name) for name in pattern.pattern.converters}
        if None in needed.values():
            yield pattern.name, str(pattern.pattern), frozenset()
        else:
            yield pattern.name, reverse(pattern.name, kwargs=needed), roles


def sample_of(argument: str) -> Any:
    """A record for an address's argument: the one a person would most likely open; None where none is known."""
    from gambrel.shop.records import models

    hanging = models.Side.objects.filter(state="hanging").order_by("-hung_at", "-pk")
    of_model = {model._meta.model_name: model for model in models.AppendOnly.__subclasses__()} | {
        "animal": models.Animal, "supplier": models.Supplier, "order": models.Order, "plan": models.Plan,
        "cutting": models.Cutting, "room": models.CoolerRoom, "rail": models.Rail, "person": models.Person,
        "device": models.Device, "customer": models.Customer, "drill": models.Drill,
        "demand": models.Demand, "lot": models.Lot, "batch": models.Batch, "share": models.Share,
        "photograph": models.Photograph, "reading": models.FaceReading, "weight": models.ScaleWeight,
        "line": models.ScaleWeight, "weighing": models.Weighing,
    }  # fmt: skip
    known: dict[str, Any] = {
        "side_id": lambda: hanging.values_list("pk", flat=True).first(),
        "tag": lambda: models.Animal.objects.order_by("-pk").values_list("tag", flat=True).first(),
        "own_kind": lambda: models.OwnKind.objects.values_list("slug", flat=True).first(),
        "tub_id": lambda: next((f"b{box}" for box in models.BoughtTrim.objects.values_list("pk", flat=True)), None),
        "kind": lambda: "bison", "slug": lambda: "ribeye-steak", "half": lambda: "left",
    }  # fmt: skip
    if argument in known:
        return known[argument]()
    model = of_model.get(argument.removesuffix("_id").removesuffix("_pk"))
    return None if model is None else model._base_manager.order_by("-pk").values_list("pk", flat=True).first()


def _flat(patterns: list[Any]) -> Iterator[Any]:
    for pattern in patterns:
        if hasattr(pattern, "url_patterns"):
            yield from _flat(pattern.url_patterns)
        else:
            yield pattern


def timed(name: str, path: str, roles: frozenset[str], *, times: int) -> PageTime:
    """One page asked `times` times, after it was asked once to warm up and once to count its queries."""
    from django.db import connection
    from django.test import Client
    from django.test.utils import CaptureQueriesContext

    from gambrel.shop.records.models import Person

    if not roles:
        return PageTime(name, path, "", 0.0, 0.0, 0, 0.0, NO_RECORD)
    client: Any = Client(raise_request_exception=False, headers={"host": "localhost"})
    role = next((role for role in ("owner", "cutter", "counter") if role in roles), "visitor")
    if role != "visitor":
        person = Person.objects.filter(role=role)[0]
        client.force_login(person, backend="django.contrib.auth.backends.ModelBackend")
    first = client.get(path)
    body_of(first)
    if first.status_code == 405:
        return PageTime(name, path, role, 0.0, 0.0, 0, 0.0, FORMS_ONLY)
    with CaptureQueriesContext(connection) as asked:
        answer = client.get(path)
        size_bytes = len(body_of(answer))
    queries = len(asked)  # counted now: the next request empties the list
    taken = [_seconds(client, path) for _ in range(times)]
    said = "" if answer.status_code in (200, 302) else f"status {answer.status_code}"
    place = math.ceil(0.95 * times) - 1
    p95_ms, cpu_p95_ms = (1000 * sorted(one[of] for one in taken)[place] for of in range(2))
    return PageTime(name, path, role, p95_ms, cpu_p95_ms, queries, size_bytes / 1000, said)


def body_of(answer: Any) -> bytes:
    """All that was answered. What is sent piece by piece is read to its end, which closes its file.

    The test client has closed every other answer; closing one once more would end the connection that a test's
    transaction is held in, where the records are on PostgreSQL.
    """
    return b"".join(answer.streaming_content) if answer.streaming else bytes(answer.content)


def _seconds(client: Any, path: str) -> tuple[float, float]:
    """By the clock on the wall, and of the processor: the two differ where other work runs beside."""
    began, began_cpu = time.perf_counter(), time.process_time()
    body_of(client.get(path))
    return time.perf_counter() - began, time.process_time() - began_cpu


def main() -> int:
    logging.disable(logging.WARNING)  # a page that takes forms only says so at every GET
    found = page_times(Path(sys.argv[1]))
    if "--json" in sys.argv:
        print(json.dumps([asdict(one) for one in found]))
        return 0
    print(f"{'page':<26}{'as':<9}{'p95 ms':>8}{'cpu ms':>8}{'queries':>9}{'kB':>8}  address")
    for one in sorted(found, key=lambda one: -one.cpu_p95_ms):
        mark = "" if one.good or one.said == FORMS_ONLY else " !"
        figures = f"{one.p95_ms:>8.1f}{one.cpu_p95_ms:>8.1f}{one.queries:>9}{one.kilobytes:>8.1f}"
        print(f"{one.name:<26}{one.role:<9}{figures}  {one.path}  {one.said}{mark}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
