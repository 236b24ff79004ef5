"""The check of sides in shares: cut as their owners wish, by their day, and paid for by hot weight."""

from __future__ import annotations

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_ways
from gambrel.catalog.ways import Tree
from gambrel.measures.money import round_half_up
from gambrel.plan.broken import must
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.week import Hanging, OwnersSide, Week


def check_owners_side(week: Week, tree: Tree, hanging: Hanging, owned: OwnersSide, side: SidePlan) -> None:
    """Raise `BadPlan` where the side is cut late, or otherwise than wished although the law allows it."""
    if side.day is None:
        must(owned.by is None, f"{side.id} is cut by its owners' day")
        return
    must(owned.by is None or side.day <= owned.by, f"{side.id} is cut by its owners' day")
    lawful = lawful_ways(tree, shipped_cuts(), hanging.animal, srm_policy_bison=week.shop.srm_policy_bison)
    for piece, way in {**tree.style(owned.style_name, hanging.animal.species), **owned.ways}.items():
        wished = hanging.pin.ways.get(piece, way)
        if wished in tree.ways_of(piece, hanging.animal.species) and wished in lawful.get(piece, (wished,)):
            must(side.ways.get(piece, wished) == wished, f"{side.id}: {piece} is broken as its owners wish")


def shares_cents(week: Week, plan: PlanResult) -> int:
    """What the shares bring whose sides are cut: each part of a side by the side's hot weight and the share's price."""
    cents = 0
    for hanging in week.animals:
        cut = {side.half for side in plan.sides if side.animal == hanging.id and side.day is not None}
        for share in [one for one in week.shares if one.animal == hanging.id.split("+")[0]]:
            halves = [half for half, side in hanging.owned.items() if share.id in side.shares]
            must(len(halves) <= 2 and share.sides <= 2.0, f"share {share.id} is of one animal")
            cents += sum(round_half_up(min(1.0, share.sides) * hanging.side_hot_kg[half] * share.price_cents_per_kg)
                         for half in halves if half in cut and half in hanging.side_hot_kg)  # fmt: skip
    return cents
