"""What the law lets be sold from an animal and which ways it leaves open: where the plan asks it."""

from __future__ import annotations

from collections.abc import Mapping

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.law import bison_notice, forbidden_leaf
from gambrel.catalog.lawful_ways import lawful_ways
from gambrel.catalog.ways import Tree
from gambrel.measures import Finding
from gambrel.plan.week import Hanging, Shop


def why_not_sold(hanging: Hanging, slug: str, shop: Shop) -> str | None:
    """A sentence saying why `slug` from this animal may not be sold, or None when it may."""
    if not hanging.is_sold:
        return f"animal {hanging.id} is {hanging.owner}'s own: nothing of it is sold"
    cut = shipped_cuts().get(slug)
    if cut is None:
        return None
    found = forbidden_leaf(cut, hanging.animal, srm_policy_bison=shop.srm_policy_bison)
    return None if found is None else found.sentence()


def lawful_names(tree: Tree, hanging: Hanging, shop: Shop) -> Mapping[str, tuple[str, ...]]:
    """By piece the names of the ways that the law leaves open for this animal."""
    return lawful_ways(tree, shipped_cuts(), hanging.animal, srm_policy_bison=shop.srm_policy_bison)


def law_notes(hanging: Hanging, shop: Shop) -> list[Finding]:
    """What a person has to decide under the law: bison that count as older."""
    notice = bison_notice(hanging.animal, srm_policy_bison=shop.srm_policy_bison)
    if notice is None:
        return []
    return [Finding(f"animal {hanging.id}", notice.given, notice.wanted, notice.do)]
