"""What `gambrel week` and `gambrel demo` print: the week as a butcher would read it."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from gambrel.catalog.cuts import shipped_cuts
from gambrel.files.drawing.say import day, kg_lb, per_lb
from gambrel.files.shop_sheets import product_name
from gambrel.journey import Journey, SideOnRail
from gambrel.measures.money import show_money

Row = Sequence[str]

ESTIMATES = (
    "Every figure is this shop's own estimate. Only a licensed grader gives an official grade, and no USDA "
    "grade covers bison; what may be sold is for the inspector in charge and local law to say."
)


def print_week(journey: Journey) -> None:
    """Sides, plan, prices and bids, as tables; in colour on a terminal."""
    shop = journey.week.shop
    print(f"\n{shop.name}: {len(journey.sides)} sides, {shop.days} days from {day(shop.start)}\n")
    _table(
        (
            "side",
            "kind",
            "weight today",
            "yield est.",
            "quality est.",
            "ready from",
            "target",
            "latest",
            "cut on",
        ),
        [_side_row(journey, side) for side in journey.sides],
    )
    _print_plan(journey)
    _print_prices(journey)
    print(f"\n{ESTIMATES}")


def _side_row(journey: Journey, side: SideOnRail) -> Row:
    grades = journey.grades.get(side.hanging.id)
    beef = side.hanging.animal.species == "cattle"
    graded = "-" if grades is None else f"{grades.yield_grade:.1f}" + ("" if beef else " guide")
    quality = (grades.quality_grade if grades else None) or "-"
    window = side.window
    return (
        side.id,
        side.hanging.kind.name,
        kg_lb(side.today_kg.mean),
        graded,
        quality,
        day(window.earliest),
        day(window.target),
        day(window.latest),
        day(side.cut_on) if side.cut_on else "hangs on",
    )


def _print_plan(journey: Journey) -> None:
    plan = journey.plan
    print()
    if not plan.has_plan:
        print("No plan keeps every promise:")
    else:
        print(
            f"The plan earns {show_money(plan.profit_cents)}; no plan earns more than "
            f"{show_money(plan.bound_cents)} ({plan.status}, gap {100 * plan.gap:.2f} %, {plan.seconds:.1f} s)."
        )
    for finding in (*plan.findings, *journey.findings):
        print(f"  - {finding.sentence()}")
    for one in plan.binding[:6]:
        print(f"  - {one.rule}: {one.unit} would earn {show_money(one.worth_cents)}.")


def _print_prices(journey: Journey) -> None:
    prices, cuts = journey.prices, shipped_cuts()
    if prices is None:
        return
    print(
        f"\nCost of what is cut {show_money(prices.cost_cents)}; sales needed for the margin "
        f"{show_money(prices.price_list.needed_cents)}, at today's prices {show_money(prices.price_list.today_cents)}."
    )
    for finding in prices.price_list.findings:
        print(f"  - {finding.sentence()}")
    print()
    rows = [
        (
            product_name(journey, product, cuts),
            product.group,
            per_lb(product.cost_cents_per_kg),
            per_lb(product.today_cents_per_kg),
            per_lb(product.new_cents_per_kg),
        )
        for product in prices.products
    ]
    _table(("product", "of", "cost", "today", "new price"), rows)
    chance = 1.0 - journey.week.shop.margin.may_lose_pct / 100.0
    print()
    for kind, bid in journey.bids.items():
        rail, live = (bid.at_probability(chance, on=on) for on in ("rail", "live"))
        print(
            f"Bid for the next {journey.week.kinds[kind].name}: at most {per_lb(rail)} on the rail or {per_lb(live)} "
            f"live, {100 * chance:.0f} % sure of the margin."
        )


def _table(heading: Row, rows: Sequence[Row]) -> None:
    """Columns that line up; with rules and colour on a terminal, plain text anywhere else."""
    if sys.stdout.isatty():
        from rich.console import Console
        from rich.table import Table
        from rich.text import Text

        table = Table(*heading, header_style="bold")
        for row in rows:
            table.add_row(*map(Text, row))  # a name with brackets is a name, not a colour
        Console().print(table)
        return
    widths = [max(len(row[place]) for row in (heading, *rows)) for place in range(len(heading))]
    for row in (heading, *rows):
        print("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
