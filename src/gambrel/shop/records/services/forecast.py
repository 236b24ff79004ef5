"""How a side is to be broken: the choice kept, or left to the plan again."""

from __future__ import annotations

from collections.abc import Mapping

from django.db import transaction

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo, Finding, Findings
from gambrel.plan.week import Hanging
from gambrel.shop.records.models import Person, ShopProfile, Side, SideState
from gambrel.shop.records.services.trail import record


@transaction.atomic
def keep_choice(
    side: Side, hanging: Hanging, shop: ShopProfile, *, style: str, ways: Mapping[str, str], by: Person | None,
    why: str = "",
) -> Side:  # fmt: skip
    """From now on the side is to be broken in this style but for `ways` (piece to way). `CannotDo` where a way
    is none of the tree's, the law closes it for this animal, or the side is on the block already."""
    _still_hanging(side)
    _look(side, hanging, shop, style, ways)
    return _store(side, style, dict(ways), by=by, why=why, what="ways chosen")


@transaction.atomic
def leave_to_plan(side: Side, *, by: Person | None, why: str = "") -> Side:
    """Nothing is chosen for the side any more."""
    _still_hanging(side)
    return _store(side, "", {}, by=by, why=why, what="ways left to the plan")


def _still_hanging(side: Side) -> None:
    if Side.objects.select_for_update().get(pk=side.pk).state != SideState.HANGING:
        raise CannotDo([Finding(f"{side}", "a side that does not hang any more", "a side on the rail",
                                "Change its ways on the block.")])  # fmt: skip


def _look(side: Side, hanging: Hanging, shop: ShopProfile, style: str, ways: Mapping[str, str]) -> None:
    """All that is wrong with the choice, at once."""
    tree, species, findings = shipped_tree().trimmed(shop.trim), hanging.animal.species, Findings()
    if style not in tree.styles:
        findings.add(f"{side}", f"style {style}", f"one of {', '.join(tree.styles)}", "Choose one of these.")
    for piece, way in ways.items():
        known = tree.ways_of(piece, species)
        if way not in known:
            findings.add(f"{side}, {piece}", way, ", ".join(known) or "a piece that is broken",
                         "Choose one of its ways.")  # fmt: skip
    findings.stop_if_any()
    chosen = {**tree.style(style, species), **ways}
    _, _, refused = lawful_choice(tree, shipped_cuts(), hanging.animal, chosen, asked=ways,
                                  srm_policy_bison=shop.srm_policy_bison)  # fmt: skip
    findings.extend(refused)
    findings.stop_if_any()


def _store(side: Side, style: str, ways: dict[str, str], *, by: Person | None, why: str, what: str) -> Side:
    before = {"style": side.style, "ways": side.ways}
    side.style, side.ways = style, ways
    side.save(update_fields=("style", "ways"))
    record(by, what, side, before=before, after={"style": style, "ways": ways}, why=why)
    return side
