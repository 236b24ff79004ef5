"""A side of the invented shop cut to its last piece as expected, a share agreed, a plan accepted."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction

from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.demo_season import cut_a_season
from gambrel.shop.records.models import Cutting, Plan, Share, Side, SideState
from gambrel.shop.records.selectors.block_expected import expected_of, hanging_animal, ways_for
from gambrel.shop.records.services import block, shares
from gambrel.shop.records.services import plan as plans

SEASON_NOW = "2026-03-09T15:30:00+00:00"
"""When all tests of the shop are, and so the season before it."""


@pytest.fixture(scope="module")
def season(django_db_setup: None, django_db_blocker: Any) -> Iterator[list[Cutting]]:
    """The invented season, laid down once for the tests of a file and taken away after them."""
    with pytest.MonkeyPatch.context() as patch, django_db_blocker.unblock():
        patch.setenv("GAMBREL_NOW", SEASON_NOW)
        with transaction.atomic():
            yield cut_a_season(today())
            transaction.set_rollback(True)


@pytest.fixture
def cut_side(demo_shop: Any) -> Callable[..., Cutting]:
    """`cut_side()` is a side of grain-finished cattle, finished; `slip` changes what is typed: {slug: weights}; a
    `wet` pan makes every line so many times as heavy."""

    def cut(
        *, slip: dict[str, list[str]] | None = None, kind: str = "grain-finished", wet: float = 1.0
    ) -> Cutting:
        rows = Side.objects.filter(state=SideState.HANGING, animal__kind=kind).select_related("animal")
        side = rows.order_by("pk")[0]
        shop, hanging = demo_shop.profile, hanging_animal(side)
        ways, _, _ = ways_for(side, hanging, shop)
        off_rail = Decimal(f"{float(side.hot_kg) * 0.97:.1f}")
        with standing_at(now() - timedelta(hours=2)):
            cutting = block.begin(
                side, weight_kg=off_rail, typed=f"{off_rail} kg", ways=ways, by=None, key=uuid4()
            )
        expected = expected_of(cutting, hanging, trim=shop.trim)
        scale = (float(off_rail) - expected.loss_kg.mean) / sum(one.mean for one in expected.pieces.values())
        usual = {slug: [f"{max(0.01, wet * scale * kg.mean):.2f}"] for slug, kg in expected.pieces.items()}
        for slug, weights in {**usual, **(slip or {})}.items():
            for kg in weights:
                block.weigh_piece(
                    cutting, slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None
                )
        return block.finish(cutting, by=None, why="test of the balance")

    return cut


@pytest.fixture
def agree_share(demo_shop: Any) -> Callable[[], Share]:
    """`agree_share()` is half of the newest hanging animal of grain-finished cattle, agreed with a customer."""

    def agree() -> Share:
        rows = Side.objects.filter(
            state=SideState.HANGING, animal__kind="grain-finished", animal__owner_name=""
        )
        animal = rows.select_related("animal").order_by("-pk")[0].animal
        terms = Terms(hanging_cents_per_kg=1000.0, cut_wrap_cents_per_kg=200.0)
        return shares.agree(animal=animal, portion="half", customer="A. Neighbour", contact="",
                            terms=terms, bought_on=date(2026, 3, 2), wishes=OwnerWishes(), key=uuid4(),
                            by=None)  # fmt: skip

    return agree


@pytest.fixture
def accept_plan(demo_shop: Any) -> Callable[[], Plan]:
    """`accept_plan()` is an accepted plan that cuts every side tomorrow and sells nothing."""

    def nothing_sold(week: Week, **_: Any) -> PlanResult:
        sides = tuple(
            SidePlan(one.side_id(half), one.id, half, one.kind.slug, week.shop.start + timedelta(days=1), 150.0, {})
            for one in week.animals for half in one.side_hot_kg
        )  # fmt: skip
        return PlanResult("optimal", 0, 0.0, 0.1, Money(), sides=sides)

    def accept() -> Plan:
        owner = demo_shop.person("owner")
        asked = plans.ask(demo_shop.profile, start=today(), days=14, seconds=5, by=owner)
        return plans.accept(plans.solve(asked.pk, solver=nothing_sold), by=owner)

    return accept
