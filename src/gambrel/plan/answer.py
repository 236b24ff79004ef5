"""The solver's numbers turned into a plan: sides told apart again, kilograms and whole cents."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date

import numpy as np

from gambrel.catalog.ways import WORK
from gambrel.measures.money import round_half_up
from gambrel.optimize import Problem
from gambrel.plan.market import Origin, is_frozen, kept_cents_per_kg, surplus_cents_per_kg
from gambrel.plan.model import PlanModel
from gambrel.plan.result import DayUse, Filled, Money, Move, PlanResult, Sale, SidePlan, Surplus
from gambrel.plan.sides import SideGroup
from gambrel.plan.week import Week

LEAST_KG = 1e-7
"""Less than a tenth of a milligram is the solver's dust."""


def sides_of(model: PlanModel, values: np.ndarray) -> tuple[SidePlan, ...]:
    """Every side with its day and ways; alike sides are dealt out left first, earlier day first."""
    return tuple(side for group in model.groups for side in _deal_out(model, group, values))


def plan_of(model: PlanModel, values: np.ndarray) -> tuple[tuple[SidePlan, ...], PlanResult]:
    """The sides, and a result with everything that is sold, used and earned; status and bound are not set yet."""
    sides = sides_of(model, values)
    moves = moves_of(model, values)
    sales, filled, surplus = sales_of(model, values), filled_of(model, moves), surplus_of(model, values)
    days = days_of(model, values, sides)
    money = money_of(model, sales, filled, surplus, days, sides)
    money = replace(money, freezing_cents=freezing_cents(model.week, moves))
    return sides, PlanResult("time-limit", 0, 0.0, 0.0, money, sides, sales, filled, surplus, moves, days,
                             freezer=freezer_of(model.week, moves))  # fmt: skip


def start_for(model: PlanModel, sides: tuple[SidePlan, ...]) -> np.ndarray | None:
    """Whole-number columns of `model` set as in an earlier plan and the rest solved; None when they do not fit."""
    fixed: dict[int, float] = {column: 0.0 for column, whole in enumerate(model.problem.integer) if whole}
    by_id = {side.id: side for side in sides}
    for group in model.groups:
        options = model.options[group.number]
        below = options.below()
        for half in group.halves:
            side = by_id[group.hanging.side_id(half)]
            if side.day is None:
                continue
            fixed[model.cut[group.number, side.day]] += 1.0
            waiting = [0]
            while waiting:
                place = options.places[waiting.pop()]
                number = next((one for one in place.choices
                               if options.choices[one].ways.items() <= side.ways.items()), None)  # fmt: skip
                column = None if number is None else model.chosen.get((group.number, side.day, number))
                if number is None or column is None:
                    return None
                if place.pooled:
                    fixed[model.settled[group.number, number]] = 1.0
                else:
                    fixed[column] += 1.0
                waiting.extend(one for one, _ in below.get(number, ()) if one not in waiting)
        for place in options.places:
            if place.pooled and not any(fixed[model.settled[group.number, one]] for one in place.choices):
                fixed[model.settled[group.number, place.choices[0]]] = 1.0
    return _solved_with(model.problem, fixed, free=set(model.taken.values()))


def sold_anew(model: PlanModel, values: np.ndarray) -> np.ndarray | None:
    """The sides as in `values`, and the rest solved anew; None when they do not keep every rule together."""
    fixed = {
        column: float(round(float(values[column])))
        for column, whole in enumerate(model.problem.integer)
        if whole
    }
    return _solved_with(model.problem, fixed, free=set(model.taken.values()))


def _solved_with(problem: Problem, fixed: Mapping[int, float], *, free: set[int]) -> np.ndarray | None:
    lows, highs = list(problem.lows), list(problem.highs)
    for column, value in fixed.items():
        if column not in free:
            lows[column] = highs[column] = value
    whole = [column in free for column in range(len(problem.gains))]
    answer = Problem(problem.gains, lows, highs, whole, problem.rows).solve(threads=2, seconds=10.0)
    return answer.values if answer.values.size else None


def _deal_out(model: PlanModel, group: SideGroup, values: np.ndarray) -> list[SidePlan]:
    halves = list(group.halves)
    plans: list[SidePlan] = []
    for day in group.days:
        cut = round(float(values[model.cut[group.number, day]]))
        going, halves = halves[:cut], halves[cut:]
        ways: dict[str, dict[str, str]] = {half: {} for half in going}
        taken = {number: round(float(values[column])) for number, _, column in model.choices(group, day)}
        _walk(model, group, 0, going, taken, ways)
        _pooled_ways(model, group, ways, values)
        plans += [_side(group, half, day, group.weight_kg[day], ways[half]) for half in going]
    return plans + [_side(group, half, None, group.end_kg, {}) for half in halves]


def _walk(
    model: PlanModel, group: SideGroup, place: int, going: list[str], taken: dict[int, int],
    ways: dict[str, dict[str, str]],
) -> None:  # fmt: skip
    options = model.options[group.number]
    left = list(going)
    for number in options.places[place].choices:
        here, left = left[: taken.get(number, 0)], left[taken.get(number, 0) :]
        for half in here:
            ways[half].update(options.choices[number].ways)
        for below, _ in options.below().get(number, ()):
            if not options.places[below].pooled:
                _walk(model, group, below, here, taken, ways)
    if left:
        raise RuntimeError(f"{group.name}: {options.places[place].piece} was left without a way")


def _pooled_ways(
    model: PlanModel, group: SideGroup, ways: dict[str, dict[str, str]], values: np.ndarray
) -> None:
    """The animal's one way for each pooled piece, noted on every side that has some of it."""
    options = model.options[group.number]
    for place in options.places:
        if place.pooled:
            chosen = next(
                number for number in place.choices if values[model.settled[group.number, number]] > 0.5
            )
            for taken in ways.values():
                above = (options.choices[number] for number in place.above)
                if any(taken.items() >= choice.ways.items() for choice in above):
                    taken.update(options.choices[chosen].ways)


def _side(
    group: SideGroup, half: str, day: date | None, weight_kg: float, ways: Mapping[str, str]
) -> SidePlan:
    hanging = group.hanging
    return SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, day, weight_kg, ways)


def moves_of(model: PlanModel, values: np.ndarray) -> tuple[Move, ...]:
    """Where every lot goes."""
    moves: list[Move] = []

    def move(lot_number: int, column: int, to: str, taker: int | None = None, week: int | None = None,
             ground_on: date | None = None) -> None:  # fmt: skip
        kg = float(values[column])
        if kg > LEAST_KG:
            lot = model.lots[lot_number]
            moves.append(Move(lot.slug, lot.origin, lot.days, to, kg, taker, week, ground_on))

    for (lot, demand, number), column in model.sold.items():
        move(lot, column, "counter", demand, number)
    for (lot, order), column in model.given.items():
        move(lot, column, "order", order)
    for grind, columns in model.grinds.items():
        for lot, column in columns.items():
            move(lot, column, "ground", grind.demand, None, grind.day)
    for lot, column in model.surplus.items():
        move(lot, column, "surplus")
    for lot, column in model.kept.items():
        move(lot, column, "kept")
    return tuple(moves)


def to_freezer(week: Week, move: Move) -> bool:
    """Whether a move goes through the freezer: sold frozen, or kept there after the plan."""
    return move.to == "kept" or (move.to == "counter" and week.demands[move.taker or 0].frozen)


def freezing_cents(week: Week, moves: tuple[Move, ...]) -> int:
    """What it costs to freeze what was not frozen already."""
    kg = sum(move.kg for move in moves if to_freezer(week, move) and not is_frozen(week, move.origin))
    return round_half_up(-kg * week.shop.freezer.cost_cents_per_kg)


def freezer_of(week: Week, moves: tuple[Move, ...]) -> tuple[float, ...]:
    """Kilograms in the freezer at the end of each week of the plan."""
    return tuple(
        sum((move.kg for move in moves
            if to_freezer(week, move) and week.shop.week_of(move.days[0]) <= one
            and (move.week is None or move.week > one)), 0.0)
        for one in week.shop.weeks()
    )  # fmt: skip


def sales_of(model: PlanModel, values: np.ndarray) -> tuple[Sale, ...]:
    """What the counter sells by product, week and price step, in whole cents a line."""
    sales = []
    for (demand, number, step), column in model.steps.items():
        kg = float(values[column])
        if kg > LEAST_KG:
            price = model.week.demands[demand].steps[step].price_cents_per_kg
            sales.append(Sale(demand, number, step, kg, price, round_half_up(kg * price)))
    return tuple(sorted(sales, key=lambda one: (one.demand, one.week, one.step)))


def filled_of(model: PlanModel, moves: tuple[Move, ...]) -> tuple[Filled, ...]:
    """What each order gets; the weight is the promised one when it is met to a gram."""
    filled = []
    for number, order in enumerate(model.week.orders):
        kg = sum(move.kg for move in moves if move.to == "order" and move.taker == number)
        if kg > LEAST_KG:
            kg = order.weight_kg if abs(kg - order.weight_kg) < 1e-3 else kg
            filled.append(Filled(number, kg, round_half_up(kg * order.price_cents_per_kg)))
    return tuple(filled)


def surplus_of(model: PlanModel, values: np.ndarray) -> tuple[Surplus, ...]:
    """What is left over, by cut and origin, and what lies in the freezer after the plan."""
    kg: dict[tuple[str, Origin, float, bool], float] = {}
    for lot in model.lots:
        price, kept_price = surplus_cents_per_kg(model.week, lot), kept_cents_per_kg(model.week, lot)
        left = [(model.surplus[lot.number], price, False)]
        left += [(model.kept[lot.number], kept_price, True)] if kept_price is not None else []
        for column, cents, kept in left:
            much = float(values[column])
            if much > LEAST_KG:
                key = (lot.slug, lot.origin, cents, kept)
                kg[key] = kg.get(key, 0.0) + much
    return tuple(Surplus(slug, origin, much, price, round_half_up(much * price), kept)
                 for (slug, origin, price, kept), much in kg.items())  # fmt: skip


def days_of(model: PlanModel, values: np.ndarray, sides: tuple[SidePlan, ...]) -> tuple[DayUse, ...]:
    """Work, rail and hauling of every day of the plan."""
    shop = model.week.shop
    came = {hanging.id: hanging.on_rail_from for hanging in model.week.animals}
    rows = []
    for day in shop.calendar():
        minutes = {}
        for work in WORK:
            used = sum(each * float(values[column]) for column, each in model.minutes(work, day).items())
            if used > LEAST_KG:
                minutes[work] = used
        on_rail = sum(
            1 for side in sides if came[side.animal] <= day and (side.day is None or side.day >= day)
        )
        cut_today = tuple(side.id for side in sides if side.day == day)
        limits = shop.minutes_of(day) if shop.is_cutting_day(day) else {}
        over = {work: used - limits[work] for work, used in minutes.items()
                if work in limits and used > limits[work] + LEAST_KG}  # fmt: skip
        rows.append(DayUse(day, shop.is_cutting_day(day), cut_today, minutes, limits,
                           on_rail * shop.rail_per_side_mm / 1000.0,
                           None if shop.rail_mm is None else shop.rail_mm / 1000.0,
                           _hauled_kg(model, values, day), over))  # fmt: skip
    return tuple(rows)


def _hauled_kg(model: PlanModel, values: np.ndarray, day: date) -> float:
    """What is cut off on the day that nobody may have."""
    return sum(
        choice.waste_share * group.weight_kg[day] * float(values[column])
        for group in model.groups
        if group.hanging.is_sold and day in group.weight_kg
        for _, choice, column in model.choices(group, day)
    )


def money_of(
    model: PlanModel,
    sales: tuple[Sale, ...],
    filled: tuple[Filled, ...],
    surplus: tuple[Surplus, ...],
    days: tuple[DayUse, ...],
    sides: tuple[SidePlan, ...],
) -> Money:
    """The lines of the profit, each a sum of whole cents."""
    shop = model.week.shop
    animals = {hanging.id: hanging for hanging in model.week.animals}
    as_cut = [(side, animals[side.animal].of_side(side.half)) for side in sides]
    hanging_kg = sum(side.weight_kg for side, one in as_cut if side.day is None and one.is_sold)
    wage = shop.wage_cents_per_hour / 60.0
    return Money(
        counter_cents=sum(one.cents for one in sales),
        orders_cents=sum(one.cents for one in filled),
        surplus_cents=sum(one.cents for one in surplus),
        hauling_cents=sum(round_half_up(-day.hauled_kg * shop.waste_cents_per_kg) for day in days),
        wages_cents=sum(round_half_up(-sum(day.minutes.values()) * wage) for day in days),
        hanging_on_cents=round_half_up(hanging_kg * shop.hanging_on_cents_per_kg),
        shares_cents=sum(one.share.cents for side, one in as_cut if side.day is not None and one.share),
        overtime_cents=sum(
            round_half_up(-sum(day.overtime.values()) * shop.overtime_premium_cents_per_minute)
            for day in days
        ),
    )
