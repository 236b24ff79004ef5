"""What is different between two weeks that were planned: animals, promises, the counter, hours and room."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from gambrel.measures.money import show_money
from gambrel.plan.rules_time import PLACES
from gambrel.plan.week import Demand, Hanging, Order, Share, Shop, Week


@dataclass(frozen=True, slots=True)
class WeekChange:
    """One difference. None: not there.

    `what` is animal, settled, promise, share, stock, counter, hours, rail, days or money.
    """

    what: str
    of: str
    before: str | None
    after: str | None

    def sentence(self) -> str:
        if self.before is None:
            return f"{self.what} {self.of} is new: {self.after}"
        if self.after is None:
            return f"{self.what} {self.of} is gone (it was {self.before})"
        return f"{self.what} {self.of}: {self.after} instead of {self.before}"


def week_changes(before: Week, after: Week) -> tuple[WeekChange, ...]:
    """Every difference a person could have made, in a settled order; nothing when the weeks are the same."""
    return (
        *_told("animal", _animals(before), _animals(after)),
        *_told("settled", _pins(before), _pins(after)),
        *_told("promise", _orders(before), _orders(after)),
        *_told("share", _shares(before), _shares(after)),
        *_told("stock", _stock(before), _stock(after)),
        *_told("counter", _counter(before), _counter(after)),
        *_told("hours", _hours(before.shop), _hours(after.shop)),
        *_told("rail", _rail(before.shop), _rail(after.shop)),
        *_told("days", _days(before.shop), _days(after.shop)),
        *_told("money", _money(before.shop), _money(after.shop)),
    )


def _told(what: str, before: Mapping[str, str], after: Mapping[str, str]) -> Iterator[WeekChange]:
    for of in [*before, *(one for one in after if one not in before)]:
        if before.get(of) != after.get(of):
            yield WeekChange(what, of, before.get(of), after.get(of))


def _animals(week: Week) -> dict[str, str]:
    return {one.id: ", ".join(_animal(one)) for one in week.animals}


def _animal(one: Hanging) -> Iterator[str]:
    yield f"{one.kind.name}, {sum(one.side_hot_kg.values()):.1f} kg hot, killed {one.killed}"
    if one.arrives is not None:
        yield f"arrives {one.arrives}"
    yield f"{len(one.side_hot_kg)} of 2 sides"
    animal = one.animal
    if animal.age_months is not None:
        yield f"{animal.age_months} months"
    if animal.fat_mm is not None:
        yield f"{animal.fat_mm:.1f} mm of fat"
    if one.inspected != "federal":
        yield f"{one.inspected} inspection"
    if one.hang_days is not None:
        yield f"hangs {one.hang_days[0]} to {one.hang_days[2]} days, best {one.hang_days[1]}"
    if one.style_name is not None:
        yield f"style {one.style_name}"
    yield from (f"{piece} {' or '.join(ways)} only" for piece, ways in sorted(one.ways_allowed.items()))
    yield from (f"{piece} not {' nor '.join(ways)}" for piece, ways in sorted(one.ways_forbidden.items()))


def _pins(week: Week) -> dict[str, str]:
    told = {}
    for one in week.animals:
        parts = [f"day {one.pin.day}"] if one.pin.day else []
        parts += [f"{piece} goes {way}" for piece, way in sorted(one.pin.ways.items())]
        if parts:
            told[one.id] = ", ".join(parts)
    told["trim of every side"] = week.shop.trim
    told["rule for bison past 30 months"] = week.shop.srm_policy_bison
    return told


def _orders(week: Week) -> dict[str, str]:
    return {order.id: _order(order) for order in week.orders}


def _order(order: Order) -> str:
    return ", ".join(_of_order(order))


def _of_order(order: Order) -> Iterator[str]:
    yield f"{order.weight_kg:.1f} kg of {order.slug} ({order.group.name}) by {order.by}"
    yield f"at {show_money(order.price_cents_per_kg)} a kg"
    yield "must be met" if order.must else "may be left"
    yield f"keeps {order.shelf_days} days"
    if order.out_of_state:
        yield "out of state"


def _counter(week: Week) -> dict[str, str]:
    return {demand.name: _steps(demand) for demand in week.demands}


def _shares(week: Week) -> dict[str, str]:
    return {share.id: _share(share) for share in week.shares}


def _share(share: Share) -> str:
    return ", ".join(_of_share(share))


def _of_share(share: Share) -> Iterator[str]:
    yield f"{share.sides / 2.0:g} of {share.animal} for {share.owner}"
    yield share.style_name
    yield from (f"{piece} goes {way}" for piece, way in sorted(share.ways.items()))
    if share.by is not None:
        yield f"by {share.by}"
    yield f"{show_money(share.price_cents_per_kg)} a kg hot"


def _stock(week: Week) -> dict[str, str]:
    told: dict[str, float] = {}
    for line in week.stock:
        told[line.name] = told.get(line.name, 0.0) + line.weight_kg
    holds_kg = week.shop.freezer.holds_kg
    room = {} if holds_kg is None else {"in the freezer": f"room for {holds_kg:.1f} kg"}
    return {**{name: f"{kg:.1f} kg" for name, kg in told.items()}, **room}


def _steps(demand: Demand) -> str:
    return ", ".join(_of_counter(demand))


def _of_counter(demand: Demand) -> Iterator[str]:
    if demand.lean_pct is not None:
        yield f"{demand.lean_pct:g} % lean"
    yield from (f"{one.upto_kg:.1f} kg at {show_money(one.price_cents_per_kg)}" for one in demand.steps)
    yield f"then {show_money(demand.salvage_cents_per_kg)} a kg"
    yield f"keeps {demand.shelf_days} days"
    if demand.kept_cents_per_kg:
        yield f"{show_money(demand.kept_cents_per_kg)} a kg kept frozen"


def _hours(shop: Shop) -> dict[str, str]:
    told = {work: f"{minutes / 60.0:.1f} h a day" for work, minutes in shop.minutes_a_day.items()}
    for when, minutes_on in shop.minutes_on.items():
        told |= {f"{work} on {when}": f"{minutes / 60.0:.1f} h" for work, minutes in minutes_on.items()}
    for work, minutes in shop.overtime.minutes_a_day.items():
        dearer = show_money(shop.overtime.wage_cents_per_hour)
        told[f"{work}, overtime"] = f"{minutes / 60.0:.1f} h a day at {dearer} an hour"
    for work, places in shop.room.at_once.items():
        told[PLACES[work]] = f"{places} for {shop.room.open_min / 60.0:.1f} h a day"
    grinding = shop.grinding.minutes_per_100kg.items()
    return {**told, **{f"{work}, grinding": f"{minutes:g} min for 100 kg" for work, minutes in grinding}}


def _rail(shop: Shop) -> dict[str, str]:
    return {"in all": _metres(shop.rail_mm), "a side": _metres(shop.rail_per_side_mm)}


def _metres(length_mm: Any) -> str:
    return "no limit" if length_mm is None else f"{length_mm / 1000.0:.2f} m"


def _days(shop: Shop) -> dict[str, str]:
    closed = [str(day) for day in shop.closed_on if shop.start <= day <= shop.end]
    return {"of the plan": f"{shop.days} from {shop.start}", "cutting": ", ".join(shop.cutting_days),
            **({"closed": ", ".join(closed)} if closed else {})}  # fmt: skip


def _money(shop: Shop) -> dict[str, str]:
    return {
        "wages": f"{show_money(shop.wage_cents_per_hour)} an hour",
        "hauling": f"{show_money(shop.waste_cents_per_kg)} a kg",
        "hanging on": f"{show_money(shop.hanging_on_cents_per_kg)} a kg",
    }
