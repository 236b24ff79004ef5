"""What the coolers take, learned from sides that were cut: by kind and room, and begun with by the sides that hang."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.hang.loss import LossModel
from gambrel.hang.weighings import Weighing as Weighed
from gambrel.learn.hanging import HungSide, learn_hanging
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.records.hung import cooler_of, losses_here
from gambrel.shop.records.loss import days_hung
from gambrel.shop.records.models import Cutting, Side, SideState
from gambrel.shop.records.selectors.block_expected import hanging_animal, ways_for
from gambrel.shop.records.selectors.rail import rail_page, side_lines
from gambrel.shop.records.services import block
from gambrel.shop.records.week import kinds_of_shop, sides_on_rail

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]


def hanging(kind: str = "grain-finished") -> Side:
    return sides_on_rail().filter(animal__kind=kind).order_by("pk")[0]  # type: ignore[no-any-return]


def cut_at(demo_shop: Any, share: str, kind: str = "grain-finished") -> Side:
    """A side that came off the rail with this share of its hot weight, finished at once."""
    side = hanging(kind)
    off_rail = (side.hot_kg * Decimal(share)).quantize(Decimal("0.1"))
    with standing_at(now() - timedelta(hours=2)):
        ways, _, _ = ways_for(side, hanging_animal(side), demo_shop.profile)
        cutting = block.begin(
            side, weight_kg=off_rail, typed=f"{off_rail} kg", ways=ways, by=None, key=uuid4()
        )
        block.finish(cutting, by=None, why="only its weight off the rail matters here")
    return Side.objects.select_related("animal").get(pk=side.pk)


def test_before_any_side_was_cut_it_is_the_book(demo_shop: Any) -> None:
    kind, losses = shipped_kinds()["bison"], losses_here(kinds_of_shop())
    assert losses.by_kind == {}
    assert losses.of(kind, "anywhere", hot_kg=150.0, fat_mm=9.0) == LossModel.prior(
        kind, fat_mm=9.0, side_hot_kg=150.0
    )


def test_it_is_what_the_core_learns_of_the_weighings(demo_shop: Any) -> None:
    room = cooler_of(hanging())
    side = cut_at(demo_shop, "0.955")
    kind = shipped_kinds()["grain-finished"]
    learned = losses_here(kinds_of_shop()).by_kind["grain-finished"]
    assert learned.keys() == {"", room}
    seen = tuple(
        Weighed(days_hung(side, line.at), float(line.weight_kg), line.typed)
        for line in side.weighings.order_by("at")
    )
    core = learn_hanging(kind, [HungSide(room, float(side.hot_kg), None, seen)])
    assert learned[room].both.mean == pytest.approx(core[room].both.mean)
    assert learned[room].sides == 1


def test_a_room_that_takes_more_makes_the_sides_in_it_lighter_on_the_rail_page(demo_shop: Any) -> None:
    def today_kg() -> dict[str, float]:
        lines = side_lines(sides_on_rail(), on=today() + timedelta(days=6))
        return {line.name: line.today_kg.mean for line in lines if line.today_kg and line.side.animal.kind ==
                "grain-finished"}  # fmt: skip

    before = today_kg()
    for _ in range(2):
        cut_at(demo_shop, "0.945")
    after = today_kg()
    assert after and all(kg < before[name] for name, kg in after.items())


def test_another_kind_is_left_as_it_was(demo_shop: Any) -> None:
    def bison() -> list[Any]:
        return [
            line.today_kg
            for line in side_lines(sides_on_rail(), on=today())
            if line.side.animal.kind == "bison"
        ]

    before = bison()
    cut_at(demo_shop, "0.945")
    assert bison() == before


def test_the_block_and_the_plan_begin_with_it_too(demo_shop: Any) -> None:
    side = hanging()
    before = hanging_animal(side).loss(float(side.hot_kg)).remaining_mean(14)
    for _ in range(3):
        cut_at(demo_shop, "0.945")
    side = hanging()
    after = hanging_animal(side).loss(float(side.hot_kg))
    assert after.remaining_mean(14) < before
    book = LossModel.prior(shipped_kinds()["grain-finished"], fat_mm=None, side_hot_kg=float(side.hot_kg))
    assert after.remaining_sd(14) < book.remaining_sd(14)


def test_it_costs_the_rail_page_one_query(demo_shop: Any, queries: list[dict[str, str]]) -> None:
    cut_at(demo_shop, "0.955")
    rail_page(demo_shop.profile, on=today())
    queries.clear()
    rail_page(demo_shop.profile, on=today())
    assert sum("records_lesson" in one["sql"] for one in queries) == 1
    assert not any("records_facereading" in one["sql"] and "LIMIT 200" in one["sql"] for one in queries)
    assert len(queries) <= 15


def test_a_side_on_no_rail_begins_with_what_all_coolers_say(demo_shop: Any) -> None:
    cut_at(demo_shop, "0.945")
    losses, kind = losses_here(kinds_of_shop()), shipped_kinds()["grain-finished"]
    nowhere = losses.of(kind, "", hot_kg=180.0, fat_mm=None)
    other = losses.of(kind, "a room that nobody hung in", hot_kg=180.0, fat_mm=None)
    assert nowhere == other
    side = Side.objects.filter(state=SideState.CUT).select_related("rail").order_by("-pk")[0]
    assert cooler_of(side) == ""
