"""The integer program of the price list: one allowed ending price for each cut, close to the first answer."""

from __future__ import annotations

from collections.abc import Sequence

from gambrel.measures import Findings
from gambrel.optimize import Problem
from gambrel.price.endings import near, prices_with_ending
from gambrel.price.price_line import Relation, UnitLine

_WINDOWS = ((2, 3), (4, 12))
"""Ending prices looked at below and above the first answer; the second only when the first is too narrow."""

_TOLERANCE = 1e-6


def choose_endings(
    units: Sequence[UnitLine],
    relations: Sequence[Relation],
    prices: Sequence[float],
    *,
    needed_cents: int,
    most: bool = False,
) -> list[int] | None:
    """A whole-cent price a unit for every cut, ending as its line asks; None when endings fall short.

    Keeps floors, ceilings and relations, brings at least `needed_cents`, and changes today's prices least;
    with `most`, brings as much as can be instead. `CannotDo` when no endings keep the relations at all.
    """
    for below, above in _WINDOWS:
        offered = [_near(unit, price, below, above) for unit, price in zip(units, prices, strict=True)]
        if not most and all(offered):
            chosen = _solve(units, relations, offered, needed_cents, most)
            if chosen is not None:
                return chosen
    offered = [_all(unit, price) for unit, price in zip(units, prices, strict=True)]
    _stop_without_endings(units, offered)
    chosen = _solve(units, relations, offered, needed_cents, most)
    if chosen is None and most:
        _stop_relations(relations)
    return chosen


def _near(unit: UnitLine, price_cents: float, below: int, above: int) -> list[int]:
    top = float("inf") if unit.high_cents is None else unit.high_cents
    step = 20 if not unit.endings else 1  # a shop without endings still wants a window of some cents
    return near(
        unit.endings,
        price_cents,
        below=below * step,
        above=above * step,
        low_cents=unit.low_cents,
        high_cents=min(top, 10.0 * price_cents + 1000.0),
    )


def _all(unit: UnitLine, price_cents: float) -> list[int]:
    """Up to 200 ending prices from floor to ceiling (three times the first answer without one), top kept."""
    top = 3.0 * max(price_cents, unit.low_cents) + 200.0 if unit.high_cents is None else unit.high_cents
    every = prices_with_ending(unit.endings, low_cents=unit.low_cents, high_cents=top)
    step = max(1, -(-len(every) // 200))
    return every[::-1][::step][::-1]


def _solve(
    units: Sequence[UnitLine],
    relations: Sequence[Relation],
    offered: Sequence[Sequence[int]],
    needed_cents: int,
    most: bool,
) -> list[int] | None:
    sales = [
        [unit.sales_cents(price) for price in prices] for unit, prices in zip(units, offered, strict=True)
    ]
    whole = sum(unit.units * unit.today_cents for unit in units)
    problem = Problem()
    picks: list[list[int]] = []
    for unit, prices, brought in zip(units, offered, sales, strict=True):
        weight = unit.units * unit.today_cents / whole
        row = [
            problem.choice(
                gain=cents / 100 if most else -1e4 * weight * (price / unit.today_cents - 1.0) ** 2
            )
            for price, cents in zip(prices, brought, strict=True)
        ]
        problem.rule(f"{unit.slug} has one price", dict.fromkeys(row, 1.0), low=1.0, high=1.0)
        picks.append(row)
    if not most:
        problem.rule(
            "the whole animal earns the margin",
            [
                (column, cents / 100)
                for row, brought in zip(picks, sales, strict=True)
                for column, cents in zip(row, brought, strict=True)
            ],
            low=needed_cents / 100,
        )
    number = {unit.slug: i for i, unit in enumerate(units)}
    for relation in relations:
        above, below = number[relation.above], number[relation.below]
        problem.rule(
            relation.sentence,
            [(c, p / 100) for c, p in zip(picks[above], offered[above], strict=True)]
            + [(c, -relation.ratio * p / 100) for c, p in zip(picks[below], offered[below], strict=True)],
            low=0.0,
        )
    answer = problem.solve(gap=1e-3, seconds=10.0)
    if len(answer.values) == 0:
        return None
    chosen = [max(range(len(row)), key=lambda i: answer.values[row[i]]) for row in picks]
    labels = [prices[i] for prices, i in zip(offered, chosen, strict=True)]
    return labels if _holds(units, relations, labels, needed_cents) else None


def _holds(
    units: Sequence[UnitLine], relations: Sequence[Relation], labels: Sequence[int], needed_cents: int
) -> bool:
    """The rules once more in whole cents: a solver's tolerance must not pass a list that is a cent short."""
    price_of = {unit.slug: label for unit, label in zip(units, labels, strict=True)}
    earned = sum(unit.sales_cents(label) for unit, label in zip(units, labels, strict=True))
    return earned >= needed_cents and all(
        price_of[r.above] >= r.ratio * price_of[r.below] - _TOLERANCE for r in relations
    )


def _stop_without_endings(units: Sequence[UnitLine], offered: Sequence[Sequence[int]]) -> None:
    findings = Findings()
    for unit, prices in zip(units, offered, strict=True):
        if not prices:
            findings.add(
                f"price list, {unit.slug}",
                "no price with its ending between floor and ceiling",
                "at least one price the shop can write",
                "Widen floor or ceiling, or allow another ending.",
            )
    findings.stop_if_any()


def _stop_relations(relations: Sequence[Relation]) -> None:
    findings = Findings()
    findings.add(
        "price list",
        "; ".join(relation.sentence for relation in relations),
        "relations that prices with these endings can keep",
        "Allow another ending for the cuts named, or ease a relation, floor or ceiling.",
    )
    findings.stop_if_any()
    raise ValueError("no price could be chosen although no relation stands in the way")
