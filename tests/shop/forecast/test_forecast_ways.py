"""Which ways a side is broken by, which are open, and that every page that asks agrees."""

from __future__ import annotations

from datetime import date

import pytest
from django.http import QueryDict
from django.utils.translation import override

from gambrel.catalog.ways import WHOLE, shipped_tree
from gambrel.shop import names
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.pages.forecast.forms import DayForm, wish_of
from gambrel.shop.records.models import Person, Plan, PlannedSide, PlanState, ShopProfile, Side
from gambrel.shop.records.selectors.block_expected import ways_for
from gambrel.shop.records.selectors.forecast_ways import choices, held, side_on_rail
from gambrel.shop.records.services.forecast import keep_choice

TODAY = date(2026, 3, 9)
AT = "2026-03-09T08:00Z"


@pytest.fixture
def shop(demo_shop: object) -> ShopProfile:
    return ShopProfile.objects.get()


@pytest.fixture
def side(demo_shop: object) -> Side:
    return Side.objects.select_related("animal").get(animal__tag="G1", half="right")


def accept_plan(side: Side, ways: dict[str, str]) -> Plan:
    """A plan that the shop works by and that cuts the side tomorrow."""
    plan = Plan.objects.create(
        asked_at=AT, start_on=TODAY, days=7, state=PlanState.DONE, accepted_at=AT, finished_at=AT
    )
    PlannedSide.objects.create(plan=plan, side=side, day=date(2026, 3, 10), weight_kg=150.0, ways=ways)
    return plan


def test_without_a_word_the_side_is_boned(side: Side, shop: ShopProfile) -> None:
    holds = held(side_on_rail(side, shop, []))
    assert (holds.origin, holds.style, holds.day) == ("usual", "boneless", None)
    assert holds.ways["rib-primal"] == "boneless"


def test_the_accepted_plan_goes_before_the_usual_style(side: Side, shop: ShopProfile) -> None:
    accept_plan(side, {"rib-primal": "bone-in"})
    holds = held(side_on_rail(side, shop, []))
    assert (holds.origin, holds.day) == ("plan", date(2026, 3, 10))
    assert holds.ways["rib-primal"] == "bone-in"
    assert holds.ways["round-primal"] == "boneless"  # of what the plan does not name


def test_what_was_chosen_for_the_side_goes_before_both_and_the_block_agrees(
    side: Side, shop: ShopProfile
) -> None:
    accept_plan(side, {"rib-primal": "bone-in", "brisket-bone-in": "bone-in"})
    on_rail = side_on_rail(side, shop, [])
    owner = Person.objects.get(role="owner")
    keep_choice(side, on_rail.hanging, shop, style="boneless", ways={"rib-primal": "grind"}, by=owner)
    on_rail = side_on_rail(Side.objects.select_related("animal").get(pk=side.pk), shop, [])
    holds = held(on_rail)
    assert (holds.origin, holds.ways["rib-primal"]) == ("side", "grind")
    block, origin, _ = ways_for(on_rail.side, on_rail.hanging, shop)
    assert origin == "boneless"
    lawful, _, _ = on_rail.lawful(holds.ways, {})
    assert block == lawful


def test_choices_are_the_pieces_that_come_up(side: Side, shop: ShopProfile) -> None:
    on_rail = side_on_rail(side, shop, [])
    listed = {one.piece: one for _, group in choices(on_rail, on_rail.style("boneless")) for one in group}
    assert "rib-primal" in listed and listed["rib-primal"].taken == "boneless"
    assert "rib-roast-ready" not in listed  # comes only of a rib that keeps its bones
    assert all(len(one.ways) >= 2 and one.taken in one.ways for one in listed.values())
    bone_in = {one.piece for _, group in choices(on_rail, on_rail.style("bone-in")) for one in group}
    assert "rib-roast-ready" in bone_in


def test_a_bison_is_offered_no_way_of_cattle(demo_shop: object, shop: ShopProfile) -> None:
    side = Side.objects.select_related("animal").get(animal__tag="B1", half="left")
    on_rail = side_on_rail(side, shop, [])
    tree = shipped_tree()
    for _, group in choices(on_rail, on_rail.style("boneless")):
        for one in group:
            for way in one.ways:
                assert way == WHOLE or tree.ways[one.piece][way].species in ("any", "bison"), (one.piece, way)


def test_the_shop_s_trim_closes_the_light_ways(side: Side, shop: ShopProfile) -> None:
    shop.trim = "close"
    on_rail = side_on_rail(side, shop, [])
    offered = {
        way for _, group in choices(on_rail, on_rail.style("boneless")) for one in group for way in one.ways
    }
    assert "light trim" not in offered
    shop.trim = "light"
    on_rail = side_on_rail(side, shop, [])
    offered = {
        way for _, group in choices(on_rail, on_rail.style("boneless")) for one in group for way in one.ways
    }
    assert "light trim" in offered


def test_every_way_of_the_tree_has_its_name_once() -> None:
    of_tree = {name for named in shipped_tree().ways.values() for name in named}
    assert set(names._spanish("ways")) == of_tree


def test_ways_are_said_in_spanish() -> None:
    same = {"jerky", "t-bones", "tomahawks"}  # said so in Spanish, too
    with override("es"):
        silent = [
            name for name in names._spanish("ways") if in_words_of_page(name) == name and name not in same
        ]
    assert silent == []


@pytest.mark.parametrize(
    ("query", "style", "ways"),
    [("", None, {}), ("style=bone-in", "bone-in", {}), ("style=", None, {}),
     ("way-rib-primal=boneless&other=3", None, {"rib-primal": "boneless"}),
     ("way-rib-primal=&style=roasts", "roasts", {}), ("way-=x", None, {"": "x"})],
)  # fmt: skip
def test_a_wish_out_of_the_address(query: str, style: str | None, ways: dict[str, str]) -> None:
    wish = wish_of(QueryDict(query), None)
    assert (wish.style, dict(wish.ways)) == (style, ways)


@pytest.mark.parametrize(
    ("typed", "good"),
    [
        ("2026-03-09", True),
        ("2026-07-07", True),
        ("2026-07-08", False),
        ("2025-11-09", True),
        ("9 March", False),
    ],
)
def test_days_within_four_months(typed: str, good: bool) -> None:
    assert DayForm({"on": typed}, today=TODAY).is_valid() is good
