"""What the shop does with what came off: every figure of these small sales is worked by hand."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from gambrel.plan import PlanResult, Week
from gambrel.plan.market import Origin, ground_origin
from gambrel.plan.questions.draws import Floats, Made
from gambrel.plan.questions.recourse import Selling, money_of_selling, sell
from gambrel.plan.result import Filled, Move

Read = Callable[[str], Week]

BEEF = Origin("grain-finished", frozenset(("grain-finished",)), "federal")
STATE_BEEF = replace(BEEF, inspected="state")
MON, WED, FRI, NEXT_MON = (date(2026, 3, day) for day in (9, 11, 13, 16))


def order(name: str, kg: float, by: date, more: str = "", cut: str = "short-ribs") -> str:
    return (f'[[order]]\nid = "{name}"\ncut = "{cut}"\nkind = "grain-finished"\nweight = "{kg}kg"\n'
            f'by = {by}\nprice = "21.00/kg"\n{more}\n')  # fmt: skip


def demand(cut: str, steps: Iterable[tuple[float, float]], more: str = "") -> str:
    told = ", ".join(f'{{ upto = "{kg}kg", price = "{dollars}/kg" }}' for kg, dollars in steps)
    return f'[[demand]]\ncut = "{cut}"\nkind = "grain-finished"\nsteps = [{told}]\n{more}\n'


def ground(lean: int) -> str:
    return (f'[[ground]]\nname = "ground-beef-{lean}"\nkind = "grain-finished"\nlean = {lean}\n'
            'steps = [{ upto = "500kg", price = "15.00/kg" }]\n')  # fmt: skip


def made(meat: Mapping[tuple[str, date], Iterable[float]], origin: Origin = BEEF) -> Made:
    """So much of each cut by day, draw by draw."""
    kg = {(origin, slug, day): np.array(list(each), float) for (slug, day), each in meat.items()}
    draws = len(next(iter(kg.values())))
    return Made(draws, kg, np.zeros(draws), {}, np.zeros(draws))


def plan(*moves: Move) -> PlanResult:
    orders = sorted({move.taker for move in moves if move.to == "order" and move.taker is not None})
    return PlanResult(
        "optimal", 0, 0.0, 0.0, moves=moves, filled=tuple(Filled(one, 0.0, 0) for one in orders)
    )


def to_order(slug: str, day: date, kg: float, number: int, origin: Origin = BEEF) -> Move:
    return Move(slug, origin, (day,), "order", kg, number)


def to_counter(slug: str, day: date, kg: float, number: int = 0, week: int = 1) -> Move:
    return Move(slug, BEEF, (day,), "counter", kg, number, week)


def to_ground(slug: str, day: date, kg: float, number: int = 0) -> Move:
    return Move(slug, BEEF, (day,), "ground", kg, number, ground_on=day)


def of(selling: Selling, slug: str) -> Floats:
    """What is left of a cut, draw by draw."""
    kg = np.zeros(selling.draws)
    return sum((each for (_, name, _), each in selling.stock.items() if name == slug), kg)


@pytest.fixture
def week_of(read: Read, parts: dict[str, str]) -> Read:
    """The shop and its steer with the orders and demands of the case; hauling costs $0.10 a kg."""
    return lambda text: read(parts["shop"] + parts["steer"] + text)


def test_what_must_be_met_is_filled_before_what_may_be_left_and_the_earlier_day_first(week_of: Read) -> None:
    week = week_of(order("A", 5, WED, "must = false") + order("B", 4, NEXT_MON) + order("C", 3, FRI))
    moves = (
        to_order("short-ribs", WED, 5, 0),
        to_order("short-ribs", WED, 4, 1),
        to_order("short-ribs", WED, 3, 2),
    )
    sold = sell(week, plan(*moves), made({("short-ribs", WED): [2.0, 6.0, 10.0, 15.0]}))
    # C is due first of the two that must be met, then B; A gets what is over.
    assert sold.filled_kg[2].tolist() == [2.0, 3.0, 3.0, 3.0]
    assert sold.filled_kg[1].tolist() == [0.0, 3.0, 4.0, 4.0]
    assert sold.filled_kg[0].tolist() == [0.0, 0.0, 3.0, 5.0]
    assert of(sold, "short-ribs").tolist() == [0.0, 0.0, 0.0, 3.0]


def test_an_order_takes_its_own_lot_first_and_then_any_other_that_may_serve_it(week_of: Read) -> None:
    week = week_of(order("A", 10, FRI))
    came = made({("short-ribs", MON): [8.0], ("short-ribs", WED): [6.0], ("short-ribs", NEXT_MON): [9.0]})
    sold = sell(week, plan(to_order("short-ribs", WED, 10, 0)), came)
    assert sold.filled_kg[0].tolist() == [10.0]
    left = {days: kg.tolist() for (_, _, days), kg in sold.stock.items()}
    # All 6 kg of Wednesday and 4 of Monday's 8; what is made on the 16th is too late for the 13th.
    assert left == {(MON,): [4.0], (WED,): [0.0], (NEXT_MON,): [9.0]}


@pytest.mark.parametrize(
    ("by", "more", "origin", "filled"),
    [
        (NEXT_MON, "", BEEF, 0.0),  # made on the 9th, fresh for 5 days: gone off by the 16th
        (NEXT_MON, "shelf_days = 7", BEEF, 5.0),  # 9 + 7 = 16
        (NEXT_MON, "shelf_days = 6", BEEF, 0.0),
        (MON, "shelf_days = 0", BEEF, 5.0),  # handed over on the day it is made
        (FRI, "out_of_state = true", BEEF, 5.0),
        (FRI, "out_of_state = true", STATE_BEEF, 0.0),  # state inspected meat stays in its state
        (FRI, "", STATE_BEEF, 5.0),
    ],
)  # fmt: skip
def test_another_lot_helps_out_only_where_it_is_fresh_and_may_cross_the_state_line(
    by: date, more: str, origin: Origin, filled: float, week_of: Read
) -> None:
    week = week_of(order("A", 5, by, more))
    meant = plan(to_order("short-ribs", FRI, 5, 0, origin))  # nothing comes off on Friday
    sold = sell(week, meant, made({("short-ribs", MON): [20.0]}, origin))
    assert sold.filled_kg[0].tolist() == [filled]


@pytest.mark.parametrize(
    ("lean", "trim_85", "trim_65", "used_65"),
    [
        # Each kg of 85 is 5 over 80, each kg of 65 is 15 under it: three kg carry one.
        (80, 12.0, 2.0, 2.0),  # 60 to spare, 30 needed
        (80, 12.0, 4.0, 4.0),  # 60 and 60: just so
        (80, 12.0, 9.0, 4.0),
        (80, 0.0, 9.0, 0.0),
        (75, 10.0, 20.0, 10.0),  # 10 over and 10 under: one carries one
        (85, 10.0, 5.0, 0.0),  # nothing to spare
    ],
)  # fmt: skip
def test_fat_trim_goes_in_only_as_far_as_the_lean_carries_it(
    lean: int, trim_85: float, trim_65: float, used_65: float, week_of: Read
) -> None:
    week = week_of(ground(lean))
    meant = plan(to_ground("trim-85", MON, 10.0), to_ground("trim-65", MON, 3.0))
    sold = sell(week, meant, made({("trim-85", MON): [trim_85], ("trim-65", MON): [trim_65]}))
    assert sold.ground_kg.tolist() == pytest.approx([trim_85 + used_65])
    assert of(sold, "trim-65").tolist() == pytest.approx([trim_65 - used_65])
    assert of(sold, "trim-85").tolist() == pytest.approx([0.0])
    # What was ground is sold at the counter, all of it: 500 kg would be.
    assert sold.sold_kg[0, 1].tolist() == pytest.approx([trim_85 + used_65])


def test_trim_that_is_shared_by_two_products_is_shared_as_planned(week_of: Read) -> None:
    """Planned 6 and 4 of 10 kg: of 5 kg one gets 3, the other 2."""
    week = week_of(ground(80) + ground(75))
    meant = plan(to_ground("trim-85", MON, 6.0, 0), to_ground("trim-85", MON, 4.0, 1))
    sold = sell(week, meant, made({("trim-85", MON): [5.0, 20.0]}))
    assert sold.sold_kg[0, 1].tolist() == pytest.approx([3.0, 12.0])
    assert sold.sold_kg[1, 1].tolist() == pytest.approx([2.0, 8.0])


def test_trim_that_is_ordered_as_it_is_leaves_the_rest_for_the_grinder(week_of: Read) -> None:
    """4 kg of trim ordered, 6 kg to be ground, 10 kg come off: 6 kg are ground and none is left over."""
    week = week_of(ground(80) + order("A", 4, FRI, cut="trim-85"))
    meant = plan(to_order("trim-85", MON, 4.0, 0), to_ground("trim-85", MON, 6.0))
    sold = sell(week, meant, made({("trim-85", MON): [10.0, 7.0, 3.0]}))
    assert sold.filled_kg[0].tolist() == pytest.approx([4.0, 4.0, 3.0])
    assert sold.ground_kg.tolist() == pytest.approx([6.0, 3.0, 0.0])
    assert of(sold, "trim-85").tolist() == pytest.approx([0.0, 0.0, 0.0])


def test_an_order_of_ground_is_filled_from_what_was_just_ground_before_the_counter(week_of: Read) -> None:
    week = week_of(ground(80) + order("A", 4, FRI, cut="ground-beef-80"))
    mince = Move("ground-beef-80", ground_origin(week, 0, "federal"), (MON,), "order", 4.0, 0)
    meant = plan(to_ground("trim-85", MON, 10.0), mince)
    sold = sell(week, meant, made({("trim-85", MON): [3.0, 10.0]}))
    assert sold.filled_kg[0].tolist() == pytest.approx([3.0, 4.0])
    assert sold.sold_kg[0, 1].tolist() == pytest.approx([0.0, 6.0])


def test_what_is_over_fills_the_dearest_step_with_room_the_oldest_meat_first(week_of: Read) -> None:
    """10 kg at $20 and 10 more at $12 in each of two weeks, salvage $15: nothing goes to the $12 step."""
    week = week_of(demand("chuck-roll", [(10, 20), (20, 16)], "shelf_days = 8\nsalvage = \"15.00/kg\"")
                   + demand("top-round", [(10, 20), (20, 12)], "shelf_days = 8"))  # fmt: skip
    came = made(
        {("chuck-roll", MON): [14.0, 44.0], ("chuck-roll", FRI): [0.0, 5.0], ("top-round", MON): [25.0, 45.0]}
    )
    sold = sell(week, plan(to_counter("chuck-roll", MON, 4.0)), came)
    # Draw 1: the 10 kg at $20 of week 1 and the other 4 at $20 of week 2. Draw 2: all 40 kg that both weeks take.
    assert sold.sold_kg[0, 1].tolist() == [10.0, 20.0]
    assert sold.sold_kg[0, 2].tolist() == [4.0, 20.0]
    left = {days: kg.tolist() for (_, slug, days), kg in sold.stock.items() if slug == "chuck-roll"}
    assert left == {(MON,): [0.0, 4.0], (FRI,): [0.0, 5.0]}
    # Hauling costs money, so that every step beats it: 25 kg are 10 + 10 at $20 and 5 at $12.
    assert sold.sold_kg[1, 1].tolist() == [15.0, 20.0]
    assert of(sold, "top-round").tolist() == [0.0, 5.0]


def test_a_step_below_salvage_takes_nothing(week_of: Read) -> None:
    """A step's price may equal the salvage: then what is over stays where it brings as much and asks no work."""
    week = week_of(demand("chuck-roll", [(10, 20), (20, 15)], 'salvage = "15.00/kg"'))
    sold = sell(week, plan(), made({("chuck-roll", MON): [18.0]}))
    assert sold.sold_kg[0, 1].tolist() == [10.0]
    assert {name: kg.tolist() for name, kg in money_of_selling(sold).items()} == {
        "counter": [20_000.0], "orders": [0.0], "surplus": [12_000.0], "freezer": [0.0],
    }  # fmt: skip


def test_a_last_week_cut_short_takes_its_share(read: Read, parts: dict[str, str]) -> None:
    """Ten days are a week and three sevenths: 14 kg a week are 14 and 6."""
    shop = parts["shop"].replace("days = 14", "days = 10")
    week = read(shop + parts["steer"] + demand("chuck-roll", [(7, 20), (14, 10)], "shelf_days = 9"))
    sold = sell(week, plan(), made({("chuck-roll", MON): [30.0]}))
    assert sold.sold_kg[0, 1].tolist() == [14.0]
    assert sold.sold_kg[0, 2].tolist() == pytest.approx([6.0])
    # Week 1: 7 x $20 + 7 x $10; week 2: 3 x $20 + 3 x $10; 10 kg hauled away at $0.10.
    money = money_of_selling(sold)
    assert money["counter"].tolist() == pytest.approx([21_000.0 + 9_000.0])
    assert money["surplus"].tolist() == pytest.approx([-100.0])


@pytest.mark.parametrize(
    ("kg", "cents"),
    [(0, 0), (4, 8_000), (10, 20_000), (12.5, 23_000), (20, 32_000), (26, 35_000), (30, 37_000), (41, 36_890)],
)  # fmt: skip
def test_the_counter_pays_step_by_step(kg: float, cents: float, week_of: Read) -> None:
    """10 kg at $20, to 20 kg at $12, to 30 kg at $5; more is hauled away at $0.10: 41 kg are 370 less 1.10."""
    week = week_of(demand("chuck-roll", [(10, 20), (20, 12), (30, 5)], "shelf_days = 0"))
    money = money_of_selling(sell(week, plan(), made({("chuck-roll", MON): [float(kg)]})))
    assert sum(money.values()).tolist() == pytest.approx([cents])


def test_an_order_pays_its_own_price_for_what_it_gets(week_of: Read) -> None:
    week = week_of(order("A", 5, FRI))
    money = money_of_selling(
        sell(week, plan(to_order("short-ribs", WED, 5, 0)), made({("short-ribs", WED): [2.0, 9.0]}))
    )
    assert money["orders"].tolist() == [4_200.0, 10_500.0]
    assert money["surplus"].tolist() == [0.0, -40.0]
