"""Two plans side by side: which sides go another day or another way, what is sold otherwise, and for how much.

The same comparison answers "why not that way" (a plan with the way forced beside the plan without) and "what
changed since the last plan". Money in cents, weights in kilograms; a change is always the second less the first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields
from datetime import date

from gambrel.measures.money import show_money
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.tell import ProductLine, product_lines
from gambrel.plan.week import Week

LEAST_KG, LEAST_CENTS = 0.05, 50
"""A product that changes by less than both is not worth a line."""

MONEY_WORDS = {
    "counter_cents": "the counter",
    "orders_cents": "orders",
    "surplus_cents": "what is left over",
    "hauling_cents": "hauling",
    "wages_cents": "wages",
    "hanging_on_cents": "sides that hang on",
    "overtime_cents": "overtime",
    "freezing_cents": "freezing",
    "shares_cents": "shares",
}


@dataclass(frozen=True, slots=True)
class WayChange:
    """A piece broken another way; None where the piece does not come about in that plan."""

    piece: str
    before: str | None
    after: str | None


@dataclass(frozen=True, slots=True)
class SideChange:
    """A side in both plans that is cut another day (None: hangs on) or another way."""

    side: str
    day_before: date | None
    day_after: date | None
    ways: tuple[WayChange, ...]

    @property
    def another_day(self) -> bool:
        return self.day_before != self.day_after


@dataclass(frozen=True, slots=True)
class ProductChange:
    """What is sold, ground and left over of one product, and what it brings, more (or less) than before."""

    slug: str
    group: str
    sold_kg: float
    ordered_kg: float
    ground_kg: float
    leftover_kg: float
    cents: int


@dataclass(frozen=True, slots=True)
class Comparison:
    """All that is different; `money_cents` by line of the profit, only the lines that change."""

    profit_cents: int
    sides: tuple[SideChange, ...]
    only_before: tuple[str, ...]
    only_after: tuple[str, ...]
    products: tuple[ProductChange, ...]
    money_cents: Mapping[str, int]

    @property
    def is_same(self) -> bool:
        return not (self.sides or self.only_before or self.only_after)


@dataclass(frozen=True, slots=True)
class PlanSeen:
    """As much of a plan as is compared: its sides, what is sold of each product, and its money."""

    sides: tuple[SidePlan, ...]
    lines: tuple[ProductLine, ...]
    money: Money


def seen(week: Week, plan: PlanResult) -> PlanSeen:
    return PlanSeen(plan.sides, product_lines(week, plan), plan.money)


def compare(before: PlanSeen, after: PlanSeen) -> Comparison:
    """What `after` does otherwise than `before`; products by how much money they move, most first."""
    old, new = {side.id: side for side in before.sides}, {side.id: side for side in after.sides}
    sides = tuple(
        change for name in old if name in new and (change := _side(old[name], new[name])) is not None
    )
    return Comparison(
        after.money.profit_cents - before.money.profit_cents,
        sides,
        tuple(name for name in old if name not in new),
        tuple(name for name in new if name not in old),
        tuple(_products(before.lines, after.lines)),
        _money(before.money, after.money),
    )


def _side(old: SidePlan, new: SidePlan) -> SideChange | None:
    pieces = sorted({*old.ways, *new.ways}) if old.day and new.day else []
    ways = tuple(WayChange(piece, old.ways.get(piece), new.ways.get(piece))
                 for piece in pieces if old.ways.get(piece) != new.ways.get(piece))  # fmt: skip
    return SideChange(old.id, old.day, new.day, ways) if ways or old.day != new.day else None


def _products(before: tuple[ProductLine, ...], after: tuple[ProductLine, ...]) -> list[ProductChange]:
    nothing = ProductLine("", "", (), (), 0.0, 0.0, 0)
    old = {(line.slug, line.group): line for line in before}
    new = {(line.slug, line.group): line for line in after}
    changes = []
    for slug, group in {*old, *new}:
        was, now = old.get((slug, group), nothing), new.get((slug, group), nothing)
        change = ProductChange(
            slug, group, now.sold_kg - was.sold_kg, now.ordered_kg - was.ordered_kg,
            now.ground_kg - was.ground_kg, now.leftover_kg - was.leftover_kg, now.revenue_cents - was.revenue_cents,
        )  # fmt: skip
        moved_kg = max(
            abs(change.sold_kg), abs(change.ordered_kg), abs(change.ground_kg), abs(change.leftover_kg)
        )
        if moved_kg >= LEAST_KG or abs(change.cents) >= LEAST_CENTS:
            changes.append(change)
    return sorted(changes, key=lambda one: (-abs(one.cents), one.slug, one.group))


def _money(before: Money, after: Money) -> dict[str, int]:
    differences = {
        line.name: getattr(after, line.name) - getattr(before, line.name) for line in fields(Money)
    }
    return {name: cents for name, cents in differences.items() if cents}


def comparison_sentences(found: Comparison, *, most: int = 8) -> tuple[str, ...]:
    """The comparison for people: sides first, then the products that move most money, then the money by line."""
    return (*_side_sentences(found), *_product_sentences(found, most), *_money_sentences(found))


def _side_sentences(found: Comparison) -> Iterator[str]:
    for name in found.only_after:
        yield f"{name} is new in the plan"
    for name in found.only_before:
        yield f"{name} is no longer in the plan"
    for side in found.sides:
        if side.another_day:
            yield f"{side.side} {_day(side.day_after)} instead of {_day(side.day_before)}"
        for way in side.ways:
            if way.before is None:
                yield f"{side.side}: {way.piece} comes about and goes {way.after}"
            elif way.after is None:
                yield f"{side.side}: {way.piece} no longer comes about"
            else:
                yield f"{side.side}: {way.piece} goes {way.after} instead of {way.before}"


def _day(day: date | None) -> str:
    return f"cut {day:%a %d %b}" if day else "hung on"


def _product_sentences(found: Comparison, most: int) -> Iterator[str]:
    for one in found.products[:most]:
        kg = {"sold at the counter": one.sold_kg, "to orders": one.ordered_kg, "ground": one.ground_kg,
              "left over": one.leftover_kg}  # fmt: skip
        parts = [f"{amount:+.1f} kg {where}" for where, amount in kg.items() if abs(amount) >= LEAST_KG]
        yield f"{one.slug} ({one.group}): {', '.join(parts) or 'another price step'}; {_more(one.cents)}"
    if len(found.products) > most:
        rest = sum(one.cents for one in found.products[most:])
        yield f"{len(found.products) - most} more products: {_more(rest)}"


def _money_sentences(found: Comparison) -> Iterator[str]:
    if found.money_cents:
        yield "together " + ", ".join(f"{MONEY_WORDS[name]} {_more(cents)}"
                                      for name, cents in found.money_cents.items())  # fmt: skip


def _more(cents: int) -> str:
    return f"{show_money(abs(cents))} {'more' if cents >= 0 else 'less'}"
