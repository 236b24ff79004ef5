"""The plans of many shops: a line each, or JSON Lines."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from gambrel.cli.plan_page import STATUS
from gambrel.cli.report import complain, print_json
from gambrel.measures.money import show_money


def plan_many(
    paths: Sequence[Path],
    ways_file: Path | None,
    *,
    gap: float,
    seconds: float,
    scheduler: str | None,
    as_json: bool,
) -> int:
    """Every week planned by itself; exit status 1 when one of them has no plan."""
    from gambrel.files.plan_batch import ShopPlanned, plan_shops
    from gambrel.files.shop_data import own_tree
    from gambrel.plan.tell import to_json

    def told(shop: ShopPlanned) -> dict[str, object]:
        if shop.week is None or shop.plan is None:
            return {
                "file": str(shop.path),
                "status": "no-plan",
                "findings": [one.as_json() for one in shop.findings],
            }
        return {"file": str(shop.path), **to_json(shop.week, shop.plan)}

    status = 0
    for shop in plan_shops(paths, tree=own_tree(ways_file), gap=gap, seconds=seconds, address=scheduler):
        if as_json:
            print_json(told(shop))
        elif shop.week is not None and shop.plan is not None:
            plan = shop.plan
            print(f"{shop.path}: {shop.week.shop.name}, {len(plan.sides)} sides, profit "
                  f"{show_money(plan.profit_cents)}, {STATUS[plan.status]} (within {plan.gap:.2%}, "
                  f"{plan.seconds:.1f} s)")  # fmt: skip
        if shop.plan is None:
            status = 1
            complain(shop.findings, word=f"{shop.path}: no plan")
    return status
