"""The weeks of many shops planned by themselves, here one after another or side by side on a plant's machines."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import CancelledError
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

from gambrel.catalog.ways import Tree
from gambrel.files.plant import plant_at
from gambrel.files.reading import read_case
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.plan import PlanResult, Week, read_week, solve_week


@dataclass(frozen=True, slots=True)
class ShopPlanned:
    """One shop's week and its plan; either is None where `findings` say why."""

    path: Path
    week: Week | None
    plan: PlanResult | None
    findings: tuple[Finding, ...]


def plan_shops(
    paths: Sequence[Path], *, tree: Tree, gap: float, seconds: float, address: str | None
) -> Iterator[ShopPlanned]:
    """Answers in the order of `paths`; one bad file does not stop the rest.

    With `address` each week goes to a machine behind the Dask scheduler there, which must have gambrel installed but
    need not see the files. `CannotDo` when nobody answers at the address.
    """
    if address is None:
        for path in paths:
            yield _planned(_read(path), partial(plan_one, tree=tree, gap=gap, seconds=seconds))
        return
    yield from _on_plant(paths, tree, gap, seconds, address)


def plan_one(week: Week, tree: Tree, gap: float, seconds: float, threads: int = 2) -> PlanResult:
    """One week planned, as a machine of the plant does it."""
    return solve_week(week, tree=tree, gap=gap, seconds=seconds, threads=threads)


def _on_plant(
    paths: Sequence[Path], tree: Tree, gap: float, seconds: float, address: str
) -> Iterator[ShopPlanned]:
    with plant_at(address) as client:
        handed = [(shop, client.submit(plan_one, shop.week, tree, gap, seconds, 1, pure=False) if shop.week else None)
                  for shop in map(_read, paths)]  # fmt: skip
        for shop, future in handed:
            yield shop if future is None else _planned(shop, partial(_result, future, shop.path, address))


def _result(future: Any, path: Path, address: str, _: Week) -> PlanResult:
    """What a machine of the plant answered for the week at `path`."""
    from dask.distributed import KilledWorker

    try:
        plan: PlanResult = future.result()
    except KilledWorker:
        raise CannotDo([Finding(str(path), "a week that stops the machines", "a week they can hold",
                                "Plan fewer days, or give the machines more memory.")]) from None  # fmt: skip
    except CancelledError:
        raise CannotDo([Finding("--scheduler", f"{address} went away at {path}", "a Dask scheduler that stays",
                                "Start it again and plan the rest.")]) from None  # fmt: skip
    return plan


def _read(path: Path) -> ShopPlanned:
    try:
        return ShopPlanned(path, read_week(read_case(path, Findings())), None, ())
    except CannotDo as refusal:
        return ShopPlanned(path, None, None, tuple(refusal.findings))


def _planned(shop: ShopPlanned, solve: Callable[[Week], PlanResult]) -> ShopPlanned:
    if shop.week is None:
        return shop
    try:
        plan = solve(shop.week)
    except CannotDo as refusal:
        return replace(shop, findings=tuple(refusal.findings))
    return replace(shop, plan=plan if plan.has_plan else None, findings=plan.findings)
