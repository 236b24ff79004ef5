"""What stock from before sells has no part in the prices: shared out by hand."""

from __future__ import annotations

from datetime import date

import pytest

from gambrel.plan.market import Origin
from gambrel.plan.result import Filled, Money, Move, PlanResult, Sale, Surplus
from gambrel.price.week_own import of_the_animals

DAY = (date(2026, 3, 9),)
CUT = Origin("wagyu", frozenset({"wagyu"}), "federal")
OLD = Origin("wagyu", frozenset({"wagyu"}), "federal", stock=0)


def move(origin: Origin, to: str, kg: float, *, taker: int | None = None, week: int | None = None) -> Move:
    return Move("brisket-flat", origin, DAY, to, kg, taker, week)


def plan(*moves: Move, sales: tuple[Sale, ...] = (), filled: tuple[Filled, ...] = (),
         surplus: tuple[Surplus, ...] = ()) -> PlanResult:  # fmt: skip
    return PlanResult("optimal", 0, 0.0, 0.0, Money(), (), sales, filled, surplus, moves)


def test_every_step_is_shared_like_the_week() -> None:
    """12 kg cut and 4 from before: three quarters of 10 kg at 20.00 and of 6 kg at 15.00."""
    sold = plan(move(CUT, "counter", 12.0, taker=3, week=1), move(OLD, "counter", 4.0, taker=3, week=1),
                sales=(Sale(3, 1, 0, 10.0, 2000.0, 20_000), Sale(3, 1, 1, 6.0, 1500.0, 9_000)))  # fmt: skip
    own = of_the_animals(sold)
    assert [(sale.kg, sale.cents) for sale in own.sales] == [(7.5, 15_000), (4.5, 6_750)]
    assert [one.kg for one in own.moves] == [12.0]


def test_another_week_is_not_touched() -> None:
    sold = plan(move(CUT, "counter", 5.0, taker=3, week=1), move(OLD, "counter", 4.0, taker=3, week=2),
                sales=(Sale(3, 1, 0, 5.0, 2000.0, 10_000), Sale(3, 2, 0, 4.0, 2000.0, 8_000)))  # fmt: skip
    assert of_the_animals(sold).sales == (Sale(3, 1, 0, 5.0, 2000.0, 10_000),)


def test_orders_and_what_is_left_are_shared_too() -> None:
    sold = plan(move(CUT, "order", 2.0, taker=0), move(OLD, "order", 6.0, taker=0), move(CUT, "kept", 1.0),
                filled=(Filled(0, 8.0, 16_000),),
                surplus=(Surplus("brisket-flat", CUT, 1.0, 900.0, 900, kept=True),
                         Surplus("brisket-flat", OLD, 3.0, -10.0, -30)))  # fmt: skip
    own = of_the_animals(sold)
    assert own.filled == (Filled(0, 2.0, 4_000),)
    assert [one.cents for one in own.surplus] == [900]


def test_a_plan_without_stock_is_itself() -> None:
    sold = plan(move(CUT, "counter", 5.0, taker=3, week=1), sales=(Sale(3, 1, 0, 5.0, 2000.0, 10_000),))
    assert of_the_animals(sold) is sold


@pytest.mark.parametrize("kg", [0.1, 7.3, 300.0])
def test_what_stock_alone_serves_is_gone(kg: float) -> None:
    sold = plan(move(OLD, "counter", kg, taker=1, week=1), sales=(Sale(1, 1, 0, kg, 100.0, round(100 * kg)),))
    assert of_the_animals(sold).sales == ()
