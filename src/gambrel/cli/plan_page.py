"""The plan as a page that a butcher reads: the money, the calendar, who gets what, and what holds it back."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from gambrel.catalog.ways import ROOT, WHOLE
from gambrel.measures.money import show_money
from gambrel.measures.units import lb_from_kg
from gambrel.plan.result import COUNTS, DayUse, PlanResult, SidePlan
from gambrel.plan.tell import ProductLine, product_lines, sides_of_share
from gambrel.plan.week import Week

MAIN_PIECES = ("chuck", "rib", "loin", "sirloin", "round", "brisket", "plate")
MOST_PRODUCTS = 40
LEAST_SHOWN_KG = 0.05
STATUS = {
    "optimal": "the best plan there is",
    "within-gap": "near enough to the best",
    "time-limit": "the best found in the time",
}


def print_plan(week: Week, plan: PlanResult) -> None:
    """The whole page on standard output, as plain text."""
    for line in (*_head(week, plan), *_calendar(week, plan), *_hanging_on(plan), *_products(week, plan),
                 *_freezer(week, plan), *_orders(week, plan), *_shares(week, plan), *_binding(plan)):  # fmt: skip
        print(line)


def _head(week: Week, plan: PlanResult) -> Iterator[str]:
    shop, money = week.shop, plan.money
    yield f"{shop.name}: {len(plan.sides)} sides, {shop.start:%a %d %b} to {shop.end:%a %d %b %Y}"
    yield ""
    yield f"Profit {show_money(plan.profit_cents)}; no plan can earn more than {show_money(plan.bound_cents)}"
    yield f"({STATUS[plan.status]}: within {plan.gap:.2%}, {plan.seconds:.1f} s)."
    yield (
        f"Counter {show_money(money.counter_cents)}, orders {show_money(money.orders_cents)}, shares "
        f"{show_money(money.shares_cents)}, salvage {show_money(money.surplus_cents)}, sides hanging on "
        f"{show_money(money.hanging_on_cents)};"
    )
    yield (
        f"wages {show_money(money.wages_cents)}, overtime {show_money(money.overtime_cents)}, hauling "
        f"{show_money(money.hauling_cents)}, freezing {show_money(money.freezing_cents)}."
    )
    yield f"Counted: {COUNTS}."


def _calendar(week: Week, plan: PlanResult) -> Iterator[str]:
    sides = {side.id: side for side in plan.sides}
    yield ""
    for day in plan.days:
        if not day.cutting and not day.sides:
            continue
        yield f"{day.day:%a %d %b}   {_work(day)}{_rail(day)}"
        for name in day.sides:
            yield from _cut(sides[name])
        if not day.sides:
            yield "    nothing cut"


def _work(day: DayUse) -> str:
    parts = []
    for work in ("knife", "saw", "grinder", "packer"):
        used, limit = day.minutes.get(work, 0.0) / 60, day.limits.get(work)
        if used or limit is not None:
            over = f" ({day.overtime[work] / 60:.1f} over)" if work in day.overtime else ""
            parts.append(
                f"{work} {used:.1f}" + (f" of {limit / 60:.1f} h{over}" if limit is not None else " h")
            )
    return ", ".join(parts)


def _rail(day: DayUse) -> str:
    limit = f" of {day.rail_limit_m:.1f}" if day.rail_limit_m is not None else ""
    return f"; rail {day.rail_m:.1f}{limit} m"


def _cut(side: SidePlan) -> Iterator[str]:
    yield f"    {side.id}  {side.kind}, {lb_from_kg(side.weight_kg):.0f} lb ({side.weight_kg:.1f} kg)"
    told = [(piece, way) for piece, way in side.ways.items() if way != WHOLE and piece != ROOT]
    line = "        "
    for piece, way in told:
        part = f"{piece}: {way}; "
        if len(line) + len(part) > 108:
            yield line.rstrip()
            line = "        "
        line += part
    if line.strip():
        yield line.rstrip().rstrip(";")


def _hanging_on(plan: PlanResult) -> Iterator[str]:
    names = [side.id for side in plan.sides if side.day is None]
    if names:
        yield ""
        yield "Hanging on after the plan: " + ", ".join(names)


def _products(week: Week, plan: PlanResult) -> Iterator[str]:
    lines = product_lines(week, plan)
    yield ""
    yield f"{'What is sold':<46}{'counter lb':>11}{'orders lb':>11}{'ground lb':>11}{'left lb':>9}{'money':>13}"
    for line in lines[:MOST_PRODUCTS]:
        yield _product(line)
    rest = lines[MOST_PRODUCTS:]
    if rest:
        cents = sum(line.revenue_cents for line in rest)
        left_lb = lb_from_kg(sum(line.leftover_kg for line in rest))
        yield f"{f'and {len(rest)} more (all with --json)':<79}{left_lb:>9.1f}{show_money(cents):>13}"


def _product(line: ProductLine) -> str:
    pounds = (line.sold_kg, line.ordered_kg, line.ground_kg)
    cells = "".join(f"{lb_from_kg(kg):>11.1f}" if kg > 0.005 else f"{'-':>11}" for kg in pounds)
    left = f"{lb_from_kg(line.leftover_kg):>9.1f}" if line.leftover_kg > 0.005 else f"{'-':>9}"
    return f"{line.slug + ', ' + line.group:<46}{cells}{left}{show_money(line.revenue_cents):>13}"


def _freezer(week: Week, plan: PlanResult) -> Iterator[str]:
    if any(kg > LEAST_SHOWN_KG for kg in plan.freezer):
        holds_kg = week.shop.freezer.holds_kg
        limit = "" if holds_kg is None else f" of {lb_from_kg(holds_kg):.0f}"
        told = ", ".join(f"week {number} {lb_from_kg(kg):.0f}{limit} lb"
                         for number, kg in zip(week.shop.weeks(), plan.freezer, strict=True))  # fmt: skip
        yield ""
        yield f"In the freezer at the end of {told}"


def _orders(week: Week, plan: PlanResult) -> Iterator[str]:
    filled = {one.order: one for one in plan.filled}
    if week.orders:
        yield ""
    for number, order in enumerate(week.orders):
        pounds = f"{lb_from_kg(order.weight_kg):.1f} lb"
        what = f"order {order.id}: {pounds} {order.slug}, {order.group.name}, {_day(order.by)}"
        yield f"{what}: {'met' if number in filled else 'left (it need not be met)'}"


def _shares(week: Week, plan: PlanResult) -> Iterator[str]:
    if week.shares:
        yield ""
    for share in week.shares:
        cut = ", ".join(f"{side.id} {_day(side.day) if side.day else 'hangs on'}"
                        for side in sides_of_share(week, plan, share))  # fmt: skip
        yield f"share {share.id}, {share.owner}: {cut or 'no side for it'}"


def _binding(plan: PlanResult) -> Iterator[str]:
    yield ""
    if not plan.binding:
        yield "Nothing holds this plan back: an hour, a metre or a pound more would bring nothing with it."
        return
    yield "What holds it back, and what one unit more would bring with every side cut as planned:"
    for one in plan.binding:
        yield f"  {one.rule}: {one.unit} brings {show_money(one.worth_cents)}"


def _day(day: date) -> str:
    return f"by {day:%a %d %b}"
