"""A plan checked from the outside: mass, hours, rail, windows, law, promises, and money to the cent.

Nothing of the model is used here: every side is cut again along its ways, and every kilogram and cent is added
up again. A plan that fails is a mistake of ours and raises `BadPlan`.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping
from datetime import date, timedelta

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.law import forbidden_leaf
from gambrel.catalog.ways import LOSS, ROOT, Tree
from gambrel.hang.window import ready_window
from gambrel.measures.money import round_half_up
from gambrel.plan.broken import KG, BadPlan, must
from gambrel.plan.check_owners import check_owners_side, shares_cents
from gambrel.plan.check_stock import check_stock
from gambrel.plan.result import Move, PlanResult, SidePlan
from gambrel.plan.shares import Shares
from gambrel.plan.week import WEEKDAYS, Hanging, Shop, Week

__all__ = ["BadPlan", "check_plan"]

MadeKey = tuple[str, str, int | None, str, date]
"""Origin name, inspection, ground product number, cut, day."""


def check_plan(week: Week, tree: Tree, shares: Mapping[str, Shares], plan: PlanResult) -> None:
    """Raise `BadPlan` at the first rule that the plan breaks; `shares` are by animal id."""
    animals = {hanging.id: hanging for hanging in week.animals}
    _sides_and_windows(week, animals, tree, plan)
    made: dict[MadeKey, float] = defaultdict(float)
    hauled: dict[date, float] = defaultdict(float)
    minutes: dict[tuple[date, str], float] = defaultdict(float)
    for side in plan.sides:
        if side.day is not None:
            _cut(animals[side.animal], side, tree, shares[side.animal], made, minutes)
    _grind(week, plan, made, minutes)
    _moves(week, plan, made, animals)
    _haul(week, plan, made, hauled, animals, tree, shares)
    _hours_and_rail(week, plan, minutes, animals)
    check_stock(week, plan)
    _counter_and_orders(week, plan)
    _money(week, plan, minutes, hauled, animals)


def _sides_and_windows(week: Week, animals: Mapping[str, Hanging], tree: Tree, plan: PlanResult) -> None:
    wanted = {hanging.side_id(half) for hanging in week.animals for half in hanging.side_hot_kg}
    must(sorted(side.id for side in plan.sides) == sorted(wanted), "every side is in the plan once")
    for side in plan.sides:
        hanging = animals[side.animal]
        window = ready_window(hanging.kind, hanging.killed, hang_days=hanging.hang_days)
        owned = hanging.owned.get(side.half)
        if owned is not None:
            check_owners_side(week, tree, hanging, owned, side)
        pinned = hanging.pin.day
        if side.day is None:
            must(window.latest > week.shop.end and pinned is None, f"{side.id} may hang on")
            continue
        must(week.shop.start <= side.day <= week.shop.end, f"{side.id} is cut within the plan")
        must(week.shop.is_cutting_day(side.day), f"{side.id} is cut on a cutting day")
        here = hanging.arrives or hanging.killed
        must(pinned is not None or side.day >= here, f"{side.id} is not cut before it is here")
        if pinned is not None:
            must(side.day == pinned, f"{side.id} is cut on its pinned day")
        else:
            must(side.day >= window.earliest, f"{side.id} is not cut before it is ready")
            between = (window.latest + timedelta(days=n) for n in range(1, (side.day - window.latest).days))
            closed = all(
                not week.shop.is_cutting_day(day) or day < max(here, week.shop.start) for day in between
            )
            must(side.day <= window.latest or closed, f"{side.id} is cut as soon as it can be once late")
        hot_kg = hanging.side_hot_kg[side.half]
        left = hot_kg * hanging.loss(hot_kg).remaining_mean(float(max(0, (side.day - hanging.killed).days)))
        must(abs(left - side.weight_kg) < KG, f"{side.id} weighs what hanging leaves of it")
        for piece, way in hanging.pin.ways.items():
            must(side.ways.get(piece, way) == way, f"{side.id}: {piece} is broken as pinned")


def _cut(
    hanging: Hanging, side: SidePlan, tree: Tree, shares: Shares,
    made: dict[MadeKey, float], minutes: dict[tuple[date, str], float],
) -> None:  # fmt: skip
    """Cut a side along its ways; what is not broken further is made."""
    assert side.day is not None
    pieces: dict[str, float] = {ROOT: side.weight_kg}
    total_kg = 0.0
    used = set()
    for piece in _in_order(side, tree):
        way = tree.ways_of(piece, hanging.animal.species)[side.ways[piece]]
        kg = pieces.get(piece, 0.0)
        used.add(piece)
        must(kg > 0.0, f"{side.id}: {piece} comes about before it is broken")
        for work, each in way.minutes_per_100kg.items():
            minutes[side.day, work] += kg * each / 100.0
        if way.is_whole:
            continue
        del pieces[piece]
        for slug, share in shares[piece, way.name].items():
            if slug == LOSS:
                total_kg += kg * share
            else:
                pieces[slug] = pieces.get(slug, 0.0) + kg * share
    must(used == set(side.ways), f"{side.id}: every way named is used")
    must(abs(total_kg + sum(pieces.values()) - side.weight_kg) < KG, f"{side.id} adds up to its weight")
    for slug, kg in pieces.items():
        made[hanging.kind.slug, hanging.inspected, None, slug, side.day] += (
            kg if _is_sold(hanging, side) else 0.0
        )


def _is_sold(hanging: Hanging, side: SidePlan) -> bool:
    """The shop's own: not killed for its owner, and in nobody's share."""
    return hanging.inspected != "custom" and side.half not in hanging.owned


def _in_order(side: SidePlan, tree: Tree) -> list[str]:
    """Pieces that the side's ways break, each after all that gives some of it."""
    gives = {piece: set(tree.ways[piece][way].outputs) & set(side.ways) for piece, way in side.ways.items()}
    left, order = dict(gives), []
    while left:
        ready = [
            piece for piece in left if not any(piece in gives[other] for other in left if other != piece)
        ]
        must(bool(ready), f"{side.id}: the ways do not go round in a circle")
        for piece in ready:
            order.append(piece)
            del left[piece]
    return order


def _grind(
    week: Week, plan: PlanResult, made: dict[MadeKey, float], minutes: dict[tuple[date, str], float]
) -> None:
    batches: dict[tuple[int, str, date], list[Move]] = defaultdict(list)
    for move in plan.moves:
        if move.to == "ground":
            assert move.taker is not None and move.ground_on is not None
            must(move.days == (move.ground_on,), "trim is ground on the day it is cut")
            batches[move.taker, move.origin.inspected, move.ground_on].append(move)
    for (number, inspected, day), moves in batches.items():
        demand = week.demands[number]
        kg = sum(move.kg for move in moves)
        lean_kg = sum(move.kg * (shipped_cuts()[move.slug].lean_pct or 0.0) for move in moves) / 100.0
        must(demand.lean_pct is not None, f"{demand.name} is a ground product")
        must(
            lean_kg >= kg * (demand.lean_pct or 0.0) / 100.0 - KG,
            f"{demand.name} of {day} is as lean as named",
        )
        must(lean_kg >= 0.70 * kg - KG, f"{demand.name} of {day} holds at most 30 % fat")
        kinds = {kind for move in moves for kind in move.origin.kinds}
        must(kinds <= demand.group.kinds, f"{demand.name} holds only the kinds it names")
        must(len({week.kinds[kind].species for kind in kinds}) == 1, f"{demand.name} is of one species")
        made[demand.name, inspected, number, demand.slug, day] += kg
        for work, each in week.shop.grinding.minutes_per_100kg.items():
            minutes[day, work] += kg * each / 100.0


def _moves(
    week: Week, plan: PlanResult, made: Mapping[MadeKey, float], animals: Mapping[str, Hanging]
) -> None:
    """Everything that is taken was made on the days it is said to come from, and may go where it goes."""
    taken: dict[tuple[str, str, int | None, str, tuple[date, ...]], float] = defaultdict(float)
    for move in _cut_moves(plan):
        taken[move.origin.name, move.origin.inspected, move.origin.ground, move.slug, move.days] += move.kg
        _may_go(week, move)
        _lawful(week, move, plan, animals)
    seen: set[MadeKey] = set()
    for (name, inspected, ground, slug, days), kg in taken.items():
        keys: list[MadeKey] = [(name, inspected, ground, slug, day) for day in days]
        must(not seen & set(keys), f"{slug} of {name}: a day's meat is in one lot only")
        seen |= set(keys)
        there = sum(made.get(key, 0.0) for key in keys)
        must(kg <= there + KG, f"{slug} of {name}: {kg:.3f} kg taken of {there:.3f} kg made")


def _cut_moves(plan: PlanResult) -> list[Move]:
    """Moves of what the plan itself cuts or grinds; what was on hand is looked at in `check_stock`."""
    return [move for move in plan.moves if move.origin.stock is None]


def _may_go(week: Week, move: Move) -> None:
    must(move.origin.inspected != "custom", "custom meat is never sold")
    if move.to == "order":
        assert move.taker is not None
        order = week.orders[move.taker]
        fresh = all(day <= order.by <= day + timedelta(days=order.shelf_days) for day in move.days)
        must(
            move.slug == order.slug and move.origin.kinds <= order.group.kinds,
            f"order {order.id} gets its cut",
        )
        must(fresh, f"order {order.id} is cut in time and still fresh")
        must(
            not (order.out_of_state and move.origin.inspected == "state"),
            f"order {order.id} may leave the state",
        )
    elif move.to == "counter":
        assert move.taker is not None and move.week is not None
        demand = week.demands[move.taker]
        first = week.shop.start + timedelta(days=7 * (move.week - 1))
        must(
            move.slug == demand.slug and move.origin.kinds <= demand.group.kinds,
            f"{demand.name} is what it says",
        )
        for day in move.days:
            must(day < first + timedelta(days=7), f"{demand.name} is made before it is sold")
            must(first <= day + timedelta(days=demand.shelf_days), f"{demand.name} is fresh when it is sold")


def _lawful(week: Week, move: Move, plan: PlanResult, animals: Mapping[str, Hanging]) -> None:
    """The law looked at cut by cut: no side cut on those days that could have given it may be barred from it."""
    cut = shipped_cuts().get(move.slug)
    if cut is None or move.origin.ground is not None:
        return
    givers = [
        animals[side.animal] for side in plan.sides
        if side.day in move.days and _is_sold(animals[side.animal], side)
    ]  # fmt: skip
    givers = [
        one for one in givers if one.kind.slug in move.origin.kinds and one.inspected == move.origin.inspected
    ]
    policy = week.shop.srm_policy_bison
    allowed = [one for one in givers if forbidden_leaf(cut, one.animal, srm_policy_bison=policy) is None]
    must(bool(allowed), f"{move.slug} of {move.origin.name} comes from an animal it may be sold from")


def _haul(
    week: Week, plan: PlanResult, made: Mapping[MadeKey, float], hauled: dict[date, float],
    animals: Mapping[str, Hanging], tree: Tree, shares: Mapping[str, Shares],
) -> None:  # fmt: skip
    """What no move takes is hauled away; meat the law keeps back must be among it."""
    in_lots = {(move.origin.name, move.origin.inspected, move.origin.ground, move.slug, day)
               for move in _cut_moves(plan) for day in move.days}  # fmt: skip
    for key, kg in made.items():
        if key not in in_lots and key[2] is None:
            hauled[key[4]] += kg
    kept_back: dict[MadeKey, float] = defaultdict(float)
    for side in plan.sides:
        hanging = animals[side.animal]
        if side.day is None or not _is_sold(hanging, side):
            continue
        own: dict[MadeKey, float] = defaultdict(float)
        _cut(hanging, side, tree, shares[side.animal], own, defaultdict(float))
        for key, kg in own.items():
            cut = shipped_cuts().get(key[3])
            policy = week.shop.srm_policy_bison
            if key in in_lots and cut and forbidden_leaf(cut, hanging.animal, srm_policy_bison=policy):
                kept_back[key] += kg
    for key, kg in kept_back.items():
        hauled[key[4]] += kg
    for move_key in {
        (m.origin.name, m.origin.inspected, m.origin.ground, m.slug, m.days) for m in _cut_moves(plan)
    }:
        name, inspected, ground, slug, days = move_key
        taken = sum(m.kg for m in _cut_moves(plan)
                    if (m.origin.name, m.origin.inspected, m.origin.ground, m.slug, m.days) == move_key)  # fmt: skip
        keys: list[MadeKey] = [(name, inspected, ground, slug, day) for day in days]
        open_kg = sum(made.get(key, 0.0) - kept_back.get(key, 0.0) for key in keys)
        must(
            abs(taken - open_kg) < KG, f"{slug} of {name}: all that may be sold is sold, ground or left over"
        )


def _hours_and_rail(
    week: Week, plan: PlanResult, minutes: Mapping[tuple[date, str], float], animals: Mapping[str, Hanging]
) -> None:
    for (day, work), used in minutes.items():
        limit = _limit_minutes(week.shop, work, day)
        most = math.inf if limit is None else limit + week.shop.overtime.minutes_a_day.get(work, 0.0)
        must(used <= most + KG, f"{work} on {day}: {used:.1f} of {most} minutes")
        if work in week.shop.room.at_once:
            most = week.shop.room.at_once[work] * week.shop.room.open_min
            must(used <= most + KG, f"{work} on {day}: {used:.1f} of {most} minutes at so many places")
    came = {name: one.arrives or one.killed for name, one in animals.items()}
    for row in plan.days:
        hung = sum(1 for side in plan.sides
                   if came[side.animal] <= row.day and (side.day is None or side.day >= row.day))  # fmt: skip
        metres = hung * week.shop.rail_per_side_mm / 1000.0
        must(abs(metres - row.rail_m) < KG, f"rail on {row.day} is counted right")
        rail_mm = week.shop.rail_mm
        must(rail_mm is None or metres <= rail_mm / 1000.0 + KG, f"the sides fit the rail on {row.day}")
        for work in {work for day, work in minutes if day == row.day}:
            must(
                abs(minutes[row.day, work] - row.minutes.get(work, 0.0)) < 0.01,
                f"{work} on {row.day} is counted right",
            )


def _limit_minutes(shop: Shop, work: str, day: date) -> float | None:
    """Minutes there are: of that day, or else of its weekday, or else of every day."""
    for named in (day.isoformat(), WEEKDAYS[day.weekday()]):
        if work in shop.minutes_on.get(named, {}):
            return shop.minutes_on[named][work]
    return shop.minutes_a_day.get(work)


def _over_minutes(shop: Shop, minutes: Mapping[tuple[date, str], float]) -> float:
    """Minutes of overtime in all."""
    over = 0.0
    for (day, work), used in minutes.items():
        limit = _limit_minutes(shop, work, day)
        over += 0.0 if limit is None else max(0.0, used - limit)
    return over


def _counter_and_orders(week: Week, plan: PlanResult) -> None:
    sold: dict[tuple[int, int], float] = defaultdict(float)
    for sale in plan.sales:
        steps = week.demands[sale.demand].steps
        below = steps[sale.step - 1].upto_kg if sale.step else 0.0
        width = (steps[sale.step].upto_kg - below) * week.shop.week_share(sale.week)
        must(sale.kg <= width + KG, f"{week.demands[sale.demand].name}: no step is overfull")
        must(sale.price_cents_per_kg == steps[sale.step].price_cents_per_kg, "each step at its own price")
        sold[sale.demand, sale.week] += sale.kg
    moved: dict[tuple[int, int], float] = defaultdict(float)
    given: dict[int, float] = defaultdict(float)
    for move in plan.moves:
        if move.to == "counter":
            moved[move.taker or 0, move.week or 0] += move.kg
        elif move.to == "order":
            given[move.taker or 0] += move.kg
    for key in sold.keys() | moved.keys():
        must(
            abs(sold[key] - moved[key]) < KG,
            f"{week.demands[key[0]].name}: what is sold is what goes to the counter",
        )
    for number, order in enumerate(week.orders):
        met = abs(given[number] - order.weight_kg) < KG
        must(met or (not order.must and given[number] < KG), f"order {order.id} is met")


def _money(
    week: Week, plan: PlanResult, minutes: Mapping[tuple[date, str], float], hauled: Mapping[date, float],
    animals: Mapping[str, Hanging],
) -> None:  # fmt: skip
    shop, money = week.shop, plan.money
    for sale in plan.sales:
        must(
            sale.cents == round_half_up(sale.kg * sale.price_cents_per_kg),
            "a sale is its weight by its price",
        )
    for filled in plan.filled:
        price = week.orders[filled.order].price_cents_per_kg
        must(filled.cents == round_half_up(filled.kg * price), "an order is its weight by its price")
    left = sum(move.kg for move in plan.moves if move.to in ("surplus", "kept"))
    must(abs(left - sum(one.kg for one in plan.surplus)) < KG, "what is left over is counted right")
    for one in plan.surplus:
        must(
            one.cents == round_half_up(one.kg * one.price_cents_per_kg), "surplus is its weight by its price"
        )
    must(money.shares_cents == shares_cents(week, plan), "shares are hot weight by their price")
    must(money.counter_cents == sum(sale.cents for sale in plan.sales), "counter money adds up")
    must(money.orders_cents == sum(filled.cents for filled in plan.filled), "order money adds up")
    must(money.surplus_cents == sum(one.cents for one in plan.surplus), "surplus money adds up")
    days = len(plan.days)
    wages = -sum(minutes.values()) * shop.wage_cents_per_hour / 60.0
    must(abs(money.wages_cents - wages) <= days, "wages are hours by the wage")
    dearer = (shop.overtime.wage_cents_per_hour - shop.wage_cents_per_hour) / 60.0
    overtime = -_over_minutes(shop, minutes) * dearer if shop.overtime.minutes_a_day else 0.0
    must(
        abs(money.overtime_cents - overtime) <= days,
        "overtime is hours above the limit by what it costs more",
    )
    hauling = -sum(hauled.values()) * shop.waste_cents_per_kg
    must(abs(money.hauling_cents - hauling) <= days, "hauling is weight by its cost")
    on_kg = sum(
        side.weight_kg for side in plan.sides if side.day is None and _is_sold(animals[side.animal], side)
    )
    must(
        abs(money.hanging_on_cents - on_kg * shop.hanging_on_cents_per_kg) <= 1,
        "hanging sides are weight by worth",
    )
    lines = (money.counter_cents, money.orders_cents, money.surplus_cents, money.hauling_cents, money.wages_cents,
             money.hanging_on_cents, money.overtime_cents, money.freezing_cents, money.shares_cents)  # fmt: skip
    must(plan.profit_cents == sum(lines) <= plan.bound_cents, "the profit is its lines, and below the bound")
