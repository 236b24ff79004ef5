"""The case and the shares as the plan takes them: what may be sold, whose it is, and nothing else."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Animal,
    Lot,
    OnHand,
    OrderState,
    Plan,
    Share,
    ShopProfile,
    Side,
    SideState,
)
from gambrel.shop.records.services import plan as plans
from gambrel.shop.records.services import shares
from gambrel.shop.records.services.packs import pack
from gambrel.shop.records.services.trace import hold
from gambrel.shop.records.week import week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def lot(code: str, **more: str) -> Lot:
    fields = {"kind": "bison", "species": "bison", "inspected": "federal", **more}
    return Lot.objects.create(code=code, made_on=today(), **fields)


def laid(of: Lot, net_kg: str, *, slug: str = "ribeye-steak", days: int = 3, place: str = "case") -> None:
    pack(of, slug, net_kg=Decimal(net_kg), key=uuid4(), at=now(), by=None, place=place, packing="tray",
         use_by=today() + timedelta(days=days))  # fmt: skip


def kept(days: int = 14) -> Week:
    return week_of(ShopProfile.objects.get(), start=today(), days=days)


@pytest.fixture(autouse=True)
def _an_empty_case() -> None:
    OnHand.objects.all().delete()
    Share.objects.filter(state=OrderState.OPEN).update(state=OrderState.CANCELLED)


def test_packs_are_gathered_by_product_kind_and_last_day() -> None:
    one, other = lot("1"), lot("2")
    laid(one, "0.5")
    laid(other, "0.75")
    laid(one, "0.4", days=5)
    lines = {
        (line.slug, line.group.name, (line.use_by or today()) - today()): line.weight_kg
        for line in kept().stock
    }
    assert lines == {
        ("ribeye-steak", "bison", timedelta(days=3)): pytest.approx(1.25),
        ("ribeye-steak", "bison", timedelta(days=5)): pytest.approx(0.4),
    }


def test_what_may_not_be_sold_is_not_planned() -> None:
    laid(lot("1"), "0.5", days=-1)
    laid(lot("2"), "0.5", place="freezer")
    laid(lot("3", inspected="custom", owner_name="Rowan Ash"), "0.5")
    laid(lot("4"), "0.5", slug="liver")
    held = lot("5")
    laid(held, "0.5")
    hold([held], held=True, why="torn bag", key=uuid4(), by=None)
    assert kept().stock == ()
    hold([held], held=False, why="looked at", key=uuid4(), by=None)
    assert [line.weight_kg for line in kept().stock] == [pytest.approx(0.5)]


def test_ground_of_several_kinds_is_of_its_species() -> None:
    laid(lot("1", kind="", species="cattle"), "2.0", slug="ground-beef-85")
    (line,) = kept().stock
    assert line.group.name == "cattle" and line.group.kinds == {"grass-finished", "grain-finished", "wagyu"}


def a_share(animal: Animal, portion: str, **wishes: Any) -> Share:
    terms = Terms(hanging_cents_per_kg=1000.0, cut_wrap_cents_per_kg=200.0)
    return shares.agree(animal=animal, portion=portion, customer="A. Neighbour", contact="", bought_on=today(),
                        terms=terms, wishes=OwnerWishes(**wishes), key=uuid4(), by=None)  # fmt: skip


@pytest.fixture
def steer() -> Animal:
    side = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished").select_related(
        "animal"
    )[0]
    return side.animal


def test_a_share_is_a_side_that_is_not_sold(steer: Animal) -> None:
    sold = a_share(steer, "half", style="bone-in")
    week = kept()
    hanging = next(one for one in week.animals if one.id == steer.tag)
    (share,) = week.shares
    assert (share.id, share.owner, share.sides, share.price_cents_per_kg) == (
        sold.code,
        "A. Neighbour",
        1.0,
        1200.0,
    )
    (half,) = hanging.owned
    assert not hanging.of_side(half).is_sold
    hot_kg = float(Side.objects.get(animal=steer, half=half).hot_kg)
    assert hanging.owned[half].cents == pytest.approx(hot_kg * 1200.0, abs=1)
    shares.cancel(sold, why="moved away", by=None)
    assert kept().shares == () and not next(one for one in kept().animals if one.id == steer.tag).owned


def test_a_share_that_no_side_is_left_for_is_told_with_the_plan(steer: Animal) -> None:
    for style in ("boneless", "bone-in"):
        a_share(steer, "half", style=style)
    third = a_share(_other(steer), "eighth")
    assert {one for hanging in kept().animals for side in hanging.owned.values() for one in side.shares} >= {
        third.code
    }
    Side.objects.filter(animal=steer, half="right").update(state=SideState.GONE)
    plan = plans.solve(plans.ask(ShopProfile.objects.get(), start=today(), days=7, seconds=5, by=None).pk)
    told = [finding["where"] for finding in plan.answer["findings"]]
    assert sum(where.startswith("share ") for where in told) == 1


def _other(animal: Animal) -> Animal:
    side = Side.objects.filter(state=SideState.HANGING).exclude(animal=animal).select_related("animal")[0]
    return side.animal


def test_the_next_plan_begins_with_the_accepted_one() -> None:
    begun: list[tuple[Any, ...]] = []

    def solver(week: Week, **asked: Any) -> PlanResult:
        begun.append(asked.get("start", ()))
        return plans.solve_week(week, **{**asked, "seconds": 5.0, "gap": 0.05})

    shop = ShopProfile.objects.get()
    first = plans.solve(plans.ask(shop, start=today(), days=5, seconds=5, by=None).pk, solver=solver)
    assert begun[0] == ()
    Plan.objects.filter(pk=first.pk).update(accepted_at=now())
    plans.solve(plans.ask(shop, start=today(), days=5, seconds=5, by=None).pk, solver=solver)
    sides = {(side.id, side.day) for start in begun[1:] if start for side in start}
    assert sides == {(one["id"], plans.date.fromisoformat(one["day"]) if one["day"] else None)
                     for one in first.answer["plan"]["sides"]}  # fmt: skip
