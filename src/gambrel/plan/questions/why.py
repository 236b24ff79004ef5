"""Why this way and not that one: the other is forced, the week is planned again, and the two plans are compared.

Nothing is read off prices here: each answer is a plan of its own. Both plans are known only to within their
gaps, so that what lies between them is told as what was found and as the span that is proven.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date

from gambrel.catalog.ways import ROOT, Tree
from gambrel.measures import CannotDo, Finding
from gambrel.plan.pinned import as_named, own_name, own_side_id, with_pins
from gambrel.plan.questions.compare import Comparison, compare, seen
from gambrel.plan.result import PlanResult, SidePlan
from gambrel.plan.week import Hanging, Pin, Week

Solver = Callable[[Week], PlanResult]
"""Plans a week: `solve_week` with its tree, gap and seconds settled by the caller."""

MOST_ROUTES = 6
"""So many routes down the tree to a piece are tried, those that change least first."""


@dataclass(frozen=True, slots=True)
class Worth:
    """What a change is worth [cents]: between the two plans found, and the span that their bounds leave open."""

    cents: int
    low_cents: int
    high_cents: int


def worth_between(before: PlanResult, after: PlanResult) -> Worth:
    """How much more the best plan of the second week earns than that of the first."""
    return Worth(
        after.profit_cents - before.profit_cents,
        after.profit_cents - before.bound_cents,
        after.bound_cents - before.profit_cents,
    )


@dataclass(frozen=True, slots=True)
class WhyNot:
    """The answer for one side forced another way or day. Without a plan only `findings` say why not.

    `worth` is negative where the forced plan earns less. `route` are the ways above the piece that had to be
    taken for it to come about at all.
    """

    side: str
    asked: str
    plan: PlanResult
    worth: Worth | None
    changes: Comparison | None
    route: Mapping[str, str]
    findings: tuple[Finding, ...] = ()


def why_not_way(
    week: Week, plan: PlanResult, *, side: str, piece: str, way: str, tree: Tree, solve: Solver
) -> WhyNot:
    """What it costs that `piece` of `side` goes by `way`. `CannotDo` when the side, piece or way is not there.

    `side` is one side (C1-left) or an animal (C1), which is then forced in all that hangs of it.
    """
    hanging, halves = side_named(week, side)
    tree = tree.trimmed(week.shop.trim)
    there = tree.ways_of(piece, hanging.animal.species)
    if way not in there:
        wanted = f"a way of {piece}: {'; '.join(there)}" if there else "a piece that is broken further"
        raise CannotDo([Finding(f"{side}, {piece}", way, wanted, "Mend the name of the piece or the way.")])
    asked = f"{piece} {way}"
    planned = next(one for one in plan.sides if one.id in halves)
    best: PlanResult | None = None
    best_route: dict[str, str] = {}
    refused: tuple[Finding, ...] = ()
    for route in _routes(tree, hanging, planned, piece):
        pin = Pin(hanging.pin.day, {**hanging.pin.ways, **route, piece: way})
        found = plan_with(week, dict.fromkeys(halves, pin), solve)
        comes_about = found.has_plan and all(
            _takes(one, piece, way) for one in found.sides if one.id in halves
        )
        if comes_about and (best is None or found.profit_cents > best.profit_cents):
            best, best_route = found, route
        refused = refused or found.findings
        if best is not None and not best_route:
            break
    if best is None:
        return WhyNot(side, asked, PlanResult("no-plan", 0, 0.0, 0.0), None, None, {}, refused)
    return WhyNot(
        side, asked, best, worth_between(plan, best), compare(seen(week, plan), seen(week, best)), best_route
    )


def why_not_day(week: Week, plan: PlanResult, *, side: str, day: date, solve: Solver) -> WhyNot:
    """What it costs that `side` is cut on `day`; a day that is no cutting day of the plan is `CannotDo`."""
    hanging, halves = side_named(week, side)
    found = plan_with(week, dict.fromkeys(halves, replace(hanging.pin, day=day)), solve)
    asked = f"cut on {day}"
    if not found.has_plan:
        return WhyNot(side, asked, found, None, None, {}, found.findings)
    return WhyNot(
        side,
        asked,
        found,
        worth_between(plan, found),
        compare(seen(week, plan), seen(week, found)),
        {},
        found.findings,
    )


def plan_with(week: Week, pins: Mapping[str, Pin], solve: Solver) -> PlanResult:
    """The week planned with those sides settled, every side under its own name."""
    settled = with_pins(week, pins)
    return as_named(solve(settled), settled)


def side_named(week: Week, name: str) -> tuple[Hanging, tuple[str, ...]]:
    """The animal and the sides that `name` means, by their own names; `CannotDo` when nothing of that name hangs.

    Of an animal whose sides are planned by themselves it is the first of them.
    """
    ids = {own_side_id(hanging, half): hanging for hanging in week.animals for half in hanging.side_hot_kg}
    if name in ids:
        return ids[name], (name,)
    of_animal = tuple(one for one, hanging in ids.items() if own_name(hanging) == name)
    if of_animal:
        return ids[of_animal[0]], of_animal
    raise CannotDo([Finding("side", name, f"a side of this week: {', '.join(ids)}", "Mend its name.")])


def _takes(side: SidePlan, piece: str, way: str) -> bool:
    return side.day is None or side.ways.get(piece) == way


def _routes(tree: Tree, hanging: Hanging, planned: SidePlan, piece: str) -> Iterator[dict[str, str]]:
    """Ways above `piece` that make it come about: none to be settled first, then those that change least."""
    yield {}
    found = [
        route
        for route in _ways_down(tree, hanging.animal.species, piece)
        if all(hanging.pin.ways.get(above, taken) == taken for above, taken in route.items())
    ]
    changed = {
        id(route): sum(planned.ways.get(above) != taken for above, taken in route.items()) for route in found
    }
    yield from sorted(found, key=lambda route: changed[id(route)])[:MOST_ROUTES]


def _ways_down(tree: Tree, species: str, piece: str) -> list[dict[str, str]]:
    """Every set of ways from the side down to `piece`."""
    if piece == ROOT:
        return [{}]
    routes = []
    for above in tree.ways:
        for name, way in tree.ways_of(above, species).items():
            if piece in way.outputs:
                routes += [{**route, above: name} for route in _ways_down(tree, species, above)]
    return routes
