"""`gambrel grind`: batches from the trims of a case file."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from gambrel.cli.report import answers, as_json, print_json
from gambrel.files.reading import read_case as read_file
from gambrel.grind import Batch, GrindPlan, blend, read_case
from gambrel.measures import Findings
from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import lb_from_kg

CAUTIONS = (
    "Lean points are the shop's own estimates: a fat test decides. On labels, ask the inspector.",
    "Grinder: stomper not fingers; unplug and lock out before opening it; guards back before power.",
    "Meat at 40 F (4.4 C) or colder throughout (from memory); your food-safety plan comes first.",
)


@click.command("grind")
@click.argument("case")
@as_json
@answers
def command(case: str, as_json: bool) -> None:
    """Blend the trims of CASE (a TOML file) into the products it asks for, within the law."""
    plan = blend(read_case(read_file(Path(case), Findings())))
    if as_json:
        print_json(plan_as_json(plan))
    else:
        print("\n".join(_page(plan)), file=sys.stdout)


def plan_as_json(plan: GrindPlan) -> dict[str, Any]:
    """Every batch with its lines, the leftovers, the products not made and the totals; kg, cents, percent."""
    return {
        "objective": plan.objective,
        "batches": [_batch_as_json(batch) for batch in plan.batches],
        "leftover": [
            {"trim": left.trim.id, "lot": left.trim.lot, "kg": left.kg, "why": left.why}
            for left in plan.leftovers
        ],
        "not_made": [{"product": product.id, "why": why} for product, why in plan.not_made],
        "totals": {
            "kg": sum(batch.kg for batch in plan.batches),
            "giveaway_kg": sum(batch.giveaway_kg for batch in plan.batches),
            "cost_cents": sum(batch.cost_cents for batch in plan.batches),
            "value_cents": sum(batch.value_cents or 0 for batch in plan.batches),
        },
        "cautions": list(CAUTIONS),
        "official": False,
    }


def _batch_as_json(batch: Batch) -> dict[str, Any]:
    return {
        "product": batch.product.id,
        "name": batch.product.name.slug,
        "label": list(batch.label),
        "kg": batch.kg,
        "lean_target_pct": batch.product.lean_pct,
        "lean_pct": batch.lean_pct,
        "fat_pct": batch.fat_pct,
        "giveaway_kg": batch.giveaway_kg,
        "cost_cents": batch.cost_cents,
        "value_cents": batch.value_cents,
        "lines": [{"trim": line.trim.id, "lot": line.trim.lot, "kg": line.kg, "lean_pct": line.trim.lean_pct,
                   "age_days": line.trim.age_days} for line in batch.lines],
        "rules": [{"rule": rule.sentence, "cite": rule.cite, "mark": rule.mark} for rule in batch.rules],
        "warnings": list(batch.warnings()),
    }  # fmt: skip


def _page(plan: GrindPlan) -> list[str]:
    page: list[str] = []
    for batch in plan.batches:
        page += [*_batch_lines(batch), ""]
    if plan.leftovers:
        page += ["Left over", *(_row(left.trim.id, left.kg, f"  {left.why}") for left in plan.leftovers), ""]
    page += [f"Not made: {product.id}. {why}" for product, why in plan.not_made]
    page += [""] if plan.not_made else []
    value = sum(batch.value_cents or 0 for batch in plan.batches)
    cost = sum(batch.cost_cents for batch in plan.batches)
    page.append(
        _row(
            "All batches",
            sum(batch.kg for batch in plan.batches),
            f"  cost {show_money(cost)}, sells for {show_money(value)}",
        )
    )
    return [*page, "", *CAUTIONS]


def _batch_lines(batch: Batch) -> list[str]:
    lean = f"  lean {batch.lean_pct:.1f} %, fat {batch.fat_pct:.1f} %"
    given_away = f", lean given away {lb_from_kg(batch.giveaway_kg):.2f} lb ({batch.giveaway_kg:.2f} kg)"
    lines = [_row(batch.product.id.upper(), batch.kg, lean + given_away)]
    for line in batch.lines:
        age = "" if line.trim.age_days is None else f", {_days(line.trim.age_days)} old"
        lot = f", lot {line.trim.lot}" if line.trim.lot else ""
        lines.append(_row(f"  {line.trim.id}", line.kg, f"  {line.trim.lean_pct:g} % lean{age}{lot}"))
    lines.append(f"  label: {' | '.join(batch.label)}")
    if not batch.product.is_custom:
        sells = "" if batch.value_cents is None else f"; sells for {show_money(batch.value_cents)}"
        per_lb = show_money(cents_per_lb(batch.cost_cents / batch.kg))
        lines.append(f"  trim cost {show_money(batch.cost_cents)} ({per_lb}/lb){sells}")
    for rule in batch.rules:
        lines.append(f"  held to: {rule.sentence} [{rule.cite}{_MARKS[rule.mark]}]")
    return lines + [f"  LOOK: {warning}" for warning in batch.warnings()]


_MARKS = {"read": "", "memory": ", from memory", "practice": ", common practice"}


def _days(days: int) -> str:
    return "1 day" if days == 1 else f"{days} days"


def _row(name: str, weight_kg: float, rest: str) -> str:
    return f"{name:<28}{lb_from_kg(weight_kg):>8.1f} lb{weight_kg:>8.1f} kg{rest}"
