"""The plan against rules of thumb that a butcher goes by: extra profit on example weeks, with its spread.

    python tools/rules_of_thumb.py 50

Each rule settles the ways of every side, and but for two of them its day; the meat is then sold as well as the planner
can sell it, which flatters the rule. Where a rule cannot keep a promise, the promise is given back and counted; where
its days do not fit the hours, the planner chooses the days.
"""

from __future__ import annotations

import statistics
import sys
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import LOSS, ROOT, Tree, shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import Hanging, Pin, PlanResult, Week, example_week, read_week, solve_week
from gambrel.plan.lawful import lawful_names, why_not_sold
from gambrel.plan.market import grinds_into, origin_of
from gambrel.plan.shares import Shares, ShareSource, forecast_shares
from gambrel.plan.sides import cutting_days, side_weight_kg

SIDES, DAYS, GAP = 6, 14, 0.005


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule of thumb: the ways of an animal, and whether the oldest is cut first (else the planner picks the day)."""

    name: str
    ways: Callable[[Week, Hanging, Tree, Shares], Mapping[str, str]]
    oldest_first: bool


@dataclass(frozen=True, slots=True)
class Trial:
    """One rule on one week: what the plan earns more [%], promises given back, whether its days had to be freed."""

    extra_pct: float
    promises_broken: int
    days_freed: bool


def styled(name: str) -> Callable[[Week, Hanging, Tree, Shares], Mapping[str, str]]:
    """The ways of a named style, lawful for the animal."""

    def ways(week: Week, hanging: Hanging, tree: Tree, shares: Shares) -> Mapping[str, str]:
        return lawful(week, hanging, tree, tree.style(name, hanging.animal.species))

    return ways


def usual(week: Week, hanging: Hanging, tree: Tree, shares: Shares) -> Mapping[str, str]:
    """Common practice: bison and Wagyu boneless, the other cattle with the bone in."""
    name = "boneless" if hanging.kind.slug in ("bison", "wagyu") else "bone-in"
    return styled(name)(week, hanging, tree, shares)


def dearest(week: Week, hanging: Hanging, tree: Tree, shares: Shares) -> Mapping[str, str]:
    """At each piece the way whose outputs fetch most at first prices, however much of them there will be."""
    species, chosen, known = hanging.animal.species, dict[str, str](), dict[str, float]()
    open_by_law = lawful_names(tree, hanging, week.shop)

    def worth(piece: str) -> float:
        if piece not in known:
            named = tree.ways_of(piece, species)
            open_ways = {name: way for name, way in named.items() if name in open_by_law.get(piece, (name,))}
            values = {
                name: leaf_worth(week, hanging, piece) if way.is_whole else
                sum(share * worth(slug) for slug, share in shares[piece, name].items() if slug != LOSS)
                for name, way in open_ways.items()
            }  # fmt: skip
            if values:
                chosen[piece] = max(values, key=lambda name: values[name])
            known[piece] = values[chosen[piece]] if values else leaf_worth(week, hanging, piece)
        return known[piece]

    worth(ROOT)
    return lawful(week, hanging, tree, chosen)


def leaf_worth(week: Week, hanging: Hanging, slug: str) -> float:
    """First price of a cut [cents a kg], of the dearest ground product for a trim; the cost of hauling for the rest."""
    if why_not_sold(hanging, slug, week.shop) is not None:
        return -week.shop.waste_cents_per_kg
    origin = origin_of(hanging)
    prices = [one.steps[0].price_cents_per_kg for one in week.demands
              if one.slug == slug and origin.kinds <= one.group.kinds and one.steps]  # fmt: skip
    prices += [week.demands[number].steps[0].price_cents_per_kg for number in grinds_into(week, origin, slug)]
    return max(prices, default=-week.shop.waste_cents_per_kg)


def lawful(week: Week, hanging: Hanging, tree: Tree, chosen: Mapping[str, str]) -> Mapping[str, str]:
    found, _, _ = lawful_choice(
        tree, shipped_cuts(), hanging.animal, chosen, srm_policy_bison=week.shop.srm_policy_bison
    )
    return found


RULES = (
    Rule("oldest first, the usual ways", usual, True),
    Rule("everything boneless, best days", styled("boneless"), False),
    Rule("everything bone-in, best days", styled("bone-in"), False),
    Rule("oldest first, dearest way of each piece", dearest, True),
)


def by_rule(week: Week, rule: Rule, tree: Tree, source: ShareSource = forecast_shares) -> tuple[Week, Week]:
    """The week with the rule's ways and days settled, and with its ways only."""
    shares = {one.id: source(one.animal, tree) for one in week.animals}
    ways = {one.id: rule.ways(week, one, tree, shares[one.id]) for one in week.animals}
    free = replace(week, animals=tuple(replace(one, pin=Pin(None, ways[one.id])) for one in week.animals))
    if not rule.oldest_first:
        return free, free
    days = oldest_first(week, ways, shares, tree)
    return replace(
        free, animals=tuple(replace(one, pin=Pin(days.get(one.id), one.pin.ways)) for one in free.animals)
    ), free


def oldest_first(
    week: Week, ways: Mapping[str, Mapping[str, str]], shares: Mapping[str, Shares], tree: Tree
) -> dict[str, date]:
    """Each animal on the first day of its window with the hours left for it, the longest hung first."""
    left: dict[tuple[date, str], float] = {}
    days: dict[str, date] = {}
    for hanging in sorted(week.animals, key=lambda one: (one.killed, one.id)):
        for day in cutting_days(hanging, week.shop):
            kg = sum(side_weight_kg(hanging, hot_kg, day) for hot_kg in hanging.side_hot_kg.values())
            needed = minutes_of(kg, ways[hanging.id], shares[hanging.id], tree, hanging.animal.species)
            limits = week.shop.minutes_a_day
            if all(left.get((day, work), limits[work]) >= needed.get(work, 0.0) for work in limits):
                days[hanging.id] = day
                for work in limits:
                    left[day, work] = left.get((day, work), limits[work]) - needed.get(work, 0.0)
                break
    return days


def minutes_of(
    kg: float, ways: Mapping[str, str], shares: Shares, tree: Tree, species: str
) -> dict[str, float]:
    """Minutes of each kind of work to cut so many kilograms of side up."""
    at_hand, minutes = {ROOT: kg}, dict[str, float]()
    for way in tree.reached(ways, species):
        whole = at_hand.pop(way.piece)
        for work, each in way.minutes_per_100kg.items():
            minutes[work] = minutes.get(work, 0.0) + whole * each / 100.0
        for slug, share in shares[way.piece, way.name].items():
            if slug != LOSS:
                at_hand[slug] = at_hand.get(slug, 0.0) + whole * share
    return minutes


def tried(
    week: Week, rule: Rule, plan: PlanResult, tree: Tree, source: ShareSource = forecast_shares
) -> Trial:
    """The rule's profit beside the plan's; promises that the rule cannot keep are given back first."""
    settled, free = by_rule(week, rule, tree, source)
    for days_freed, one in ((False, settled), (True, free)):
        found = solve(one)
        if not found.has_plan:
            found = solve(replace(one, orders=tuple(replace(order, must=False) for order in one.orders)))
        if found.has_plan:
            filled = {order.order for order in found.filled}
            broken = sum(order.must and number not in filled for number, order in enumerate(week.orders))
            return Trial(100.0 * (plan.profit_cents / found.profit_cents - 1.0), broken, days_freed)
    raise RuntimeError(f"{rule.name} has no plan at all")


def solve(week: Week) -> PlanResult:
    return solve_week(week, tree=shipped_tree(), gap=GAP, seconds=60.0, threads=1)


def main(count: int) -> None:
    trials: dict[str, list[Trial]] = {rule.name: [] for rule in RULES}
    for seed in range(1, count + 1):
        text = example_week(sides=SIDES, days=DAYS, seed=seed)
        week = read_week(Entry(tomllib.loads(text), "", Findings()))
        tree = shipped_tree().trimmed(week.shop.trim)
        plan = solve(week)
        for rule in RULES:
            trials[rule.name].append(tried(week, rule, plan, tree))
        print(
            f"week {seed}: " + ", ".join(f"{trials[rule.name][-1].extra_pct:.1f} %" for rule in RULES),
            file=sys.stderr,
        )
    print("| rule of thumb | mean | sd | least | median | most | promises broken | days freed |")
    print("| --- | --: | --: | --: | --: | --: | --: | --: |")
    for name, found in trials.items():
        extra = [one.extra_pct for one in found]
        sd_pct = statistics.stdev(extra) if len(extra) > 1 else 0.0
        print(f"| {name} | {statistics.mean(extra):.1f} % | {sd_pct:.1f} % | {min(extra):.1f} % | "
              f"{statistics.median(extra):.1f} % | {max(extra):.1f} % | {sum(one.promises_broken for one in found)} | "
              f"{sum(one.days_freed for one in found)} |")  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
