"""Lessons of finished sides, and the forecasts that sides went to the block with: kept, chained, and made again."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import numpy as np
import pytest

from gambrel.shop.records import shop_yields
from gambrel.shop.records.models import Cutting, Lesson, ScaleWeight, Side, SideForecast, SideState
from gambrel.shop.records.selectors.block_expected import expected_of, hanging_animal, ways_for, ways_open
from gambrel.shop.records.services import block, lessons
from gambrel.shop.records.shop_yields import BOOK, MOST_SIDES, STEP_SIDES, taught
from gambrel.shop.records.side_forecasts import PLACES, Figure, made_again, told_of

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]


def newest(cutting: Cutting) -> SideForecast:
    line = SideForecast.objects.filter(side=cutting.side).order_by("-pk").first()
    assert line is not None
    return line


def begun(demo_shop: Any, kind: str = "grain-finished") -> Cutting:
    side = (
        Side.objects.filter(state=SideState.HANGING, animal__kind=kind)
        .select_related("animal")
        .order_by("pk")[0]
    )
    ways, _, _ = ways_for(side, hanging_animal(side), demo_shop.profile)
    off_rail = Decimal(f"{float(side.hot_kg) * 0.97:.1f}")
    return block.begin(side, weight_kg=off_rail, typed=f"{off_rail} kg", ways=ways, by=None, key=uuid4())


def test_a_figure_keeps_what_lies_below_it() -> None:
    """Of 0 to 100 in even steps the quantiles are the numbers themselves [linear interpolation of order statistics]."""
    figure = Figure.of(np.arange(101.0))
    assert figure.mean == 50.0 and figure.at_places == pytest.approx([100 * place for place in PLACES])
    assert figure.place_share(50.0) == pytest.approx(0.5)
    assert figure.place_share(7.5) == pytest.approx(0.075)  # half-way between the twentieth and the tenth
    assert (figure.place_share(0.5), figure.place_share(99.5)) == (0.0, 1.0)


def test_a_side_goes_to_the_block_with_a_forecast_of_the_edition_then_known(
    demo_shop: Any, cut_side: Cut
) -> None:
    first = cut_side()
    assert newest(first).edition == BOOK and newest(first).lesson_id is None
    edition = taught(demo_shop.profile).edition
    second = cut_side()
    assert newest(second).edition == edition != BOOK
    assert newest(second).lesson_id == Lesson.objects.get(cutting=first).pk
    pieces = told_of(newest(second)).pieces
    whole_kg = sum(one.mean for one in pieces.values()) + told_of(newest(second)).loss.mean
    assert whole_kg == pytest.approx(float(second.begun_kg))


def test_a_past_forecast_is_made_again_to_the_last_digit(demo_shop: Any, cut_side: Cut) -> None:
    sides = [cut_side(), cut_side(kind="bison"), cut_side(), cut_side(kind="bison")]
    shop_yields._learned.cache_clear()
    shop_yields._together.clear()
    for cutting in sides:
        line = newest(cutting)
        assert made_again(line) == told_of(line)
    assert len({newest(one).edition for one in sides}) == 4


def test_what_came_to_the_block_is_judged_by_what_was_known_then(demo_shop: Any, cut_side: Cut) -> None:
    cut_side()
    second = cut_side()
    before = expected_of(second, hanging_animal(second.side), trim=demo_shop.profile.trim)
    cut_side()
    after = expected_of(second, hanging_animal(second.side), trim=demo_shop.profile.trim)
    assert before.pieces == after.pieces
    told = told_of(newest(second))
    assert {slug: one.mean for slug, one in before.pieces.items()} == pytest.approx(
        {slug: one.mean for slug, one in told.pieces.items()}
    )


def test_broken_otherwise_it_is_told_again_by_the_same_edition(demo_shop: Any, cut_side: Cut) -> None:
    cut_side()
    cutting = begun(demo_shop)
    cut_side(kind="bison")
    was = newest(cutting)
    hanging = hanging_animal(cutting.side)
    piece, ways = next(
        (piece, ways)
        for piece, ways in ways_open(cutting, hanging, demo_shop.profile).items()
        if piece == "rib-primal"
    )
    other = next(name for name in ways if name != cutting.ways.get(piece))
    block.break_otherwise(cutting, ways={**cutting.ways, piece: other}, by=None)
    again = newest(cutting)
    assert (again.edition, again.lesson_id) == (was.edition, was.lesson_id)
    assert again.told != was.told and again.asked["ways"][piece] == other


def test_weighed_off_the_rail_again_the_forecast_is_of_the_right_weight(demo_shop: Any) -> None:
    cutting = begun(demo_shop)
    was_kg = float(cutting.begun_kg)
    block.weigh_off_rail_again(cutting, weight_kg=Decimal("160.0"), typed="160.0 kg", why="misread", by=None,
                               key=uuid4())  # fmt: skip
    told = told_of(newest(cutting))
    assert sum(one.mean for one in told.pieces.values()) + told.loss.mean == pytest.approx(160.0)
    assert was_kg != 160.0


def test_a_side_put_back_keeps_what_it_was_told(demo_shop: Any) -> None:
    cutting = begun(demo_shop)
    side = block.put_back(cutting, by=None)
    assert SideForecast.objects.filter(side=side).count() == 1
    assert begun(demo_shop).side == side and SideForecast.objects.filter(side=side).count() == 2


def test_a_line_put_right_makes_a_new_lesson_and_a_side_that_no_longer_balances_teaches_nothing(
    demo_shop: Any, cut_side: Cut
) -> None:
    cutting = cut_side()
    one = Lesson.objects.get(cutting=cutting)
    line = ScaleWeight.objects.filter(cutting=cutting).order_by("-weight_kg")[0]
    block.take_out(line, key=uuid4(), by=None, why="for this test")
    two = Lesson.objects.filter(cutting=cutting).order_by("-pk")[0]
    assert two.pk != one.pk and two.test is None and two.chain != one.chain
    known = taught(demo_shop.profile)
    assert (len(known.tests), known.left_out_count, known.edition) == (0, 1, BOOK)
    block.weigh_piece(cutting, line.slug, weight_kg=line.weight_kg, typed=line.typed, key=uuid4(), by=None)
    assert len(taught(demo_shop.profile).tests) == 1
    assert taught(demo_shop.profile).tests[0].weighed_kg[line.slug] == pytest.approx(float(line.weight_kg))


def test_sides_finished_before_there_were_lessons_are_caught_up_with(demo_shop: Any, cut_side: Cut) -> None:
    cutting = cut_side()
    bare = Side.objects.filter(state=SideState.HANGING, animal__kind="bison").select_related("animal")[0]
    old = Cutting.objects.create(side=bare, begun_at=cutting.begun_at, begun_kg=Decimal("100.0"), ways={},
                                 ended_at=cutting.ended_at)  # fmt: skip
    assert lessons.catch_up() == 1
    assert Lesson.objects.get(cutting=old).test is None  # nothing was weighed of it
    assert lessons.catch_up() == 0


def test_a_long_shop_learns_from_its_newest_sides_and_moves_on_by_whole_steps() -> None:
    """600 sides teach; the 601st pushes twenty out at once, and none more is pushed out until the 621st."""
    assert (MOST_SIDES, STEP_SIDES) == (600, 20)
    assert shop_yields._windowed(list(range(600))) == list(range(600))
    assert shop_yields._windowed(list(range(601))) == list(range(20, 601))
    assert shop_yields._windowed(list(range(620))) == list(range(20, 620))
    assert shop_yields._windowed(list(range(621))) == list(range(40, 621))


def test_in_a_small_shop_three_sides_are_added_singly_and_the_fourth_learns_all_anew(
    demo_shop: Any, cut_side: Cut
) -> None:
    counts = []
    for kind in ("grain-finished", "bison", "grain-finished", "bison", "grain-finished"):
        cut_side(kind=kind)
        known = taught(demo_shop.profile)
        counts.append((len(known.tests), len(known.anew)))
    assert counts == [(1, 0), (2, 0), (3, 0), (4, 4), (5, 4)]
    assert shop_yields.yields_of(known).sides == 5
