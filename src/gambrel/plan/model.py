"""The week as columns of a mixed-integer program; the rules over them are in the files `rules_*.py`.

Columns: how many sides of a group are cut on a day, how many of them take each choice of the breakdown tree on
that day (both whole numbers), and in kilograms what is ground, sold in each price step, given to each order,
and left over; and minutes of overtime.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date

from gambrel.catalog.ways import Tree
from gambrel.optimize import Problem
from gambrel.plan.lawful import lawful_names, why_not_sold
from gambrel.plan.market import (
    Lot,
    Origin,
    buyers_of,
    grinds_into,
    ground_origin,
    is_frozen,
    kept_cents_per_kg,
    lots_of,
    origin_of,
    surplus_cents_per_kg,
)
from gambrel.plan.places import NO_LOSSES, Choice, Losses, Options
from gambrel.plan.shares import Shares
from gambrel.plan.sides import SideGroup
from gambrel.plan.walk import Walk
from gambrel.plan.week import Hanging, Week

Terms = dict[int, float]

NUDGE_CENTS = 0.05
"""Taken off for each side and day away from its target day: settles ties, and is no part of the profit."""


@dataclass(frozen=True, slots=True)
class Grind:
    """A ground product made on a day from trims of one kind of inspection."""

    demand: int
    inspected: str
    day: date


@dataclass
class PlanModel:
    """A week's problem with the meaning of every column; `marks` says what a rule with a price is about."""

    week: Week
    groups: tuple[SideGroup, ...]
    options: tuple[Options, ...]
    problem: Problem = field(default_factory=Problem)
    lots: list[Lot] = field(default_factory=list)
    cut: dict[tuple[int, date], int] = field(default_factory=dict)
    hang_on: dict[int, int] = field(default_factory=dict)
    chosen: dict[tuple[int, date, int], int] = field(default_factory=dict)
    settled: dict[tuple[int, int], int] = field(default_factory=dict)
    grinds: dict[Grind, dict[int, int]] = field(default_factory=dict)
    sold: dict[tuple[int, int, int], int] = field(default_factory=dict)
    steps: dict[tuple[int, int, int], int] = field(default_factory=dict)
    given: dict[tuple[int, int], int] = field(default_factory=dict)
    taken: dict[int, int] = field(default_factory=dict)
    surplus: dict[int, int] = field(default_factory=dict)
    kept: dict[int, int] = field(default_factory=dict)
    over: dict[tuple[str, date], int] = field(default_factory=dict)
    marks: dict[int, tuple[str, str]] = field(default_factory=dict)
    nudge_limit_cents: float = 0.0
    _given_by: dict[tuple[int, date], dict[str, list[tuple[int, float]]]] = field(default_factory=dict)

    def choices(self, group: SideGroup, day: date) -> Iterator[tuple[int, Choice, int]]:
        """Number, choice and column of every choice that a group has on a day."""
        for number, choice in enumerate(self.options[group.number].choices):
            column = self.chosen.get((group.number, day, number))
            if column is not None:
                yield number, choice, column

    def minutes(self, work: str, day: date) -> Terms:
        """Minutes of `work` on `day` as terms: cutting by side and choice, grinding by weight."""
        terms: Terms = {}
        for group in self.groups:
            if day in group.weight_kg:
                for _, choice, column in self.choices(group, day):
                    each = choice.minutes_per_kg.get(work, 0.0) * group.weight_kg[day]
                    if each:
                        terms[column] = each
        per_kg = self.week.shop.grinding.minutes_per_100kg.get(work, 0.0) / 100.0
        if per_kg:
            for grind, columns in self.grinds.items():
                if grind.day == day:
                    terms.update(dict.fromkeys(columns.values(), per_kg))
        return terms

    def made(self, lot: Lot) -> Terms:
        """Kilograms that come into a lot as terms; none for what is on hand, which is a number."""
        terms: Terms = {}
        if lot.origin.stock is not None:
            return terms
        if lot.origin.ground is not None:
            for day in lot.days:
                grind = Grind(lot.origin.ground, lot.origin.inspected, day)
                terms.update(dict.fromkeys(self.grinds.get(grind, {}).values(), 1.0))
            return terms
        for group in self.groups:
            if not group.hanging.is_sold or origin_of(group.hanging) != lot.origin:
                continue
            for day in lot.days:
                for column, share in self._gives(group, day).get(lot.slug, ()):
                    terms[column] = share * group.weight_kg[day]
        return terms

    def _gives(self, group: SideGroup, day: date) -> dict[str, list[tuple[int, float]]]:
        """By cut, the columns of a group and day that give some of it, with their shares."""
        if (group.number, day) not in self._given_by:
            gives: dict[str, list[tuple[int, float]]] = {}
            if day in group.weight_kg:
                for _, choice, column in self.choices(group, day):
                    for slug, share in choice.leaves.items():
                        gives.setdefault(slug, []).append((column, share))
            self._given_by[group.number, day] = gives
        return self._given_by[group.number, day]


def sellable_leaves(week: Week, hanging: Hanging) -> Callable[[str], bool]:
    """Whether anyone takes a leaf of this animal on some day and the law lets them have it, by slug."""
    origin = origin_of(hanging)
    wanted = {one.slug for one in week.demands if origin.kinds <= one.group.kinds}
    wanted |= {one.slug for one in week.orders if origin.kinds <= one.group.kinds}
    known: dict[str, bool] = {}

    def sellable(slug: str) -> bool:
        if slug not in known:
            taken = slug in wanted or bool(grinds_into(week, origin, slug))
            known[slug] = taken and why_not_sold(hanging, slug, week.shop) is None
        return known[slug]

    return sellable


def sellable_leaf(week: Week, hanging: Hanging, slug: str) -> bool:
    """Whether anyone takes this one leaf of this animal and the law lets them have it."""
    return sellable_leaves(week, hanging)(slug)


def walk_of(week: Week, tree: Tree, hanging: Hanging, shares: Shares, *, losses: Losses = NO_LOSSES) -> Walk:
    """The tree as it stands open for an animal of this week."""
    return Walk(
        hanging,
        tree,
        shares,
        sellable=sellable_leaves(week, hanging),
        lawful=lawful_names(tree, hanging, week.shop),
        losses=losses,
    )


def build(week: Week, groups: tuple[SideGroup, ...], options: tuple[Options, ...]) -> PlanModel:
    """All columns of the week's problem, no rules yet; `options` are one a group."""
    model = PlanModel(week, groups, options)
    for group in groups:
        _side_columns(model, group)
    model.lots = lots_of(week, _everything_made(model))
    _grind_columns(model)
    _market_columns(model)
    _overtime_columns(model)
    return model


def _side_columns(model: PlanModel, group: SideGroup) -> None:
    """Sides cut by day, hanging on, and their choices; wages and hauling are charged to the choices.

    R12: a side in shares is a group of its own with its owners' ways and days; none of it comes into a lot, and what
    its owners pay is earned on the day it is cut.
    """
    shop, problem = model.week.shop, model.problem
    wage_cents = shop.wage_cents_per_hour / 60.0
    hauling = shop.waste_cents_per_kg if group.hanging.is_sold else 0.0
    owners_cents = group.hanging.share.cents if group.hanging.share else 0
    away = [abs((day - group.target).days) for day in group.days]
    model.nudge_limit_cents += NUDGE_CENTS * group.count * max(away, default=0)
    for day, days_away in zip(group.days, away, strict=True):
        model.cut[group.number, day] = problem.variable(
            gain=owners_cents - NUDGE_CENTS * days_away, high=float(group.count), whole=True
        )
        kg = group.weight_kg[day]
        options = model.options[group.number]
        for number, choice in enumerate(options.choices):
            if not options.looked_at(choice, group.days.index(day)):
                continue
            cost = sum(choice.minutes_per_kg.values()) * wage_cents + choice.waste_share * hauling
            pooled = options.places[choice.place].pooled
            model.chosen[group.number, day, number] = problem.variable(
                gain=-cost * kg, high=float(group.count), whole=not pooled
            )
    for place in model.options[group.number].places:
        if place.pooled:
            for number in place.choices:
                model.settled[group.number, number] = problem.choice()
    if not group.must_cut:
        worth = shop.hanging_on_cents_per_kg * group.end_kg if group.hanging.is_sold else 0.0
        model.hang_on[group.number] = problem.variable(gain=worth, high=float(group.count))


def _everything_made(model: PlanModel) -> set[tuple[Origin, str, date]]:
    """Every cut that may come about and every product that may be ground, by origin and day."""
    week = model.week
    made = {
        (origin_of(group.hanging), slug, day)
        for group in model.groups
        if group.hanging.is_sold
        for day in group.days
        for slug in {slug for _, choice, _ in model.choices(group, day) for slug in choice.leaves}
    }
    ground = {
        (ground_origin(week, number, origin.inspected), week.demands[number].slug, day)
        for origin, slug, day in made
        for number in grinds_into(week, origin, slug)
    }
    return made | ground


def _grind_columns(model: PlanModel) -> None:
    """Kilograms of each trim lot that go into each ground product on the day they are cut."""
    shop, problem = model.week.shop, model.problem
    wage_cents = shop.wage_cents_per_hour / 60.0
    cost = sum(shop.grinding.minutes_per_100kg.values()) / 100.0 * wage_cents
    for lot in model.lots:
        for number in lot.buyers.ground:
            (day,) = lot.days
            origin = ground_origin(model.week, number, lot.origin.inspected)
            if buyers_of(model.week, origin, model.week.demands[number].slug, day):
                grind = Grind(number, lot.origin.inspected, day)
                model.grinds.setdefault(grind, {})[lot.number] = problem.variable(gain=-cost)


def _market_columns(model: PlanModel) -> None:
    """Kilograms sold by lot and week, by price step, given to orders, left over, and in the freezer after the plan."""
    week, problem = model.week, model.problem
    for lot in model.lots:
        freezing = 0.0 if is_frozen(week, lot.origin) else week.shop.freezer.cost_cents_per_kg
        for demand, number in lot.buyers.counter:
            cost = freezing if week.demands[demand].frozen else 0.0
            model.sold[lot.number, demand, number] = problem.variable(gain=-cost)
            if (demand, number, 0) not in model.steps:
                _step_columns(model, demand, number)
        for order in lot.buyers.orders:
            model.given[lot.number, order] = problem.variable(gain=week.orders[order].price_cents_per_kg)
        model.surplus[lot.number] = problem.variable(gain=surplus_cents_per_kg(week, lot))
        kept_cents = kept_cents_per_kg(week, lot)
        if kept_cents is not None:
            model.kept[lot.number] = problem.variable(gain=kept_cents - freezing)
    for number, one in enumerate(week.orders):
        if not one.must:
            model.taken[number] = problem.choice()


def _overtime_columns(model: PlanModel) -> None:
    """Minutes over the hours by kind of work and day, at what they cost above the wage."""
    shop = model.week.shop
    for day in sorted({day for group in model.groups for day in group.days}):
        for work in shop.minutes_of(day):
            most = shop.overtime.minutes_a_day.get(work, 0.0)
            if most > 0.0:
                cost = shop.overtime_premium_cents_per_minute
                model.over[work, day] = model.problem.variable(gain=-cost, high=most)


def _step_columns(model: PlanModel, demand: int, week_number: int) -> None:
    """One column a price step, as wide as the step; falling prices fill them in order by themselves."""
    below_kg = 0.0
    share = model.week.shop.week_share(week_number)
    for number, step in enumerate(model.week.demands[demand].steps):
        width_kg = (step.upto_kg - below_kg) * share
        below_kg = step.upto_kg
        model.steps[demand, week_number, number] = model.problem.variable(
            gain=step.price_cents_per_kg, high=width_kg
        )
