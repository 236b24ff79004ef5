"""A plan made for the mean, tried on draws of what may really come off: what it earns then, and what it keeps.

The days and ways stand as planned; what is sold follows from what comes off (`recourse.py`). Money here is not
rounded line by line, so that a try without any spread may differ from the plan by its rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from gambrel.plan.questions.draws import Floats, Made, SideSource, draw_made
from gambrel.plan.questions.recourse import Selling, money_of_selling, sell
from gambrel.plan.result import PlanResult
from gambrel.plan.week import Week

KEPT_KG = 0.01
"""A promise that lacks ten grams is kept: no scale over a counter shows less."""

PERCENTILES = (5, 50, 95)
HISTOGRAM_BARS = 12


@dataclass(frozen=True, slots=True)
class PromiseTried:
    """One order: in what share of the draws it is filled, and what it lacks on average where it is not [kg]."""

    order: str
    slug: str
    wanted_kg: float
    kept_share: float
    short_kg: float
    must: bool


@dataclass(frozen=True, slots=True)
class Tried:
    """A plan on `draws` outcomes: profit at the 5th, 50th and 95th percentile and its mean, promises, overtime.

    `all_kept_share`: draws in which every promise the plan makes is kept. `run_over_min`: on the worst day and
    kind of work, by how much the hours are run over, 95th percentile. `bars` are counts of draws between `edges`.
    """

    draws: int
    profit_cents: tuple[int, int, int]
    mean_cents: int
    promises: tuple[PromiseTried, ...]
    all_kept_share: float
    run_over_min: float
    edges_cents: tuple[int, ...]
    bars: tuple[int, ...]


def try_plan(week: Week, plan: PlanResult, source: SideSource, *, draws: int = 400, seed: int = 1) -> Tried:
    """The plan on `draws` equally likely outcomes; `seed` settles them."""
    made = draw_made(week, plan, source, draws=draws, seed=seed)
    selling = sell(week, plan, made)
    profit = profit_of(week, made, selling)
    kept = {
        number: selling.filled_kg[number] >= week.orders[number].weight_kg - KEPT_KG
        for number in selling.filled_kg
    }
    every = np.all(list(kept.values()), axis=0) if kept else np.ones(draws, dtype=bool)
    counts, edges = np.histogram(profit, bins=HISTOGRAM_BARS)
    low, middle, high = (round(float(one)) for one in np.percentile(profit, PERCENTILES))
    return Tried(
        draws, (low, middle, high), round(float(profit.mean())),
        tuple(_promise(week, number, selling, kept[number]) for number in sorted(kept)),
        float(every.mean()), float(np.percentile(_over_minutes(week, made), 95)),
        tuple(round(float(edge)) for edge in edges), tuple(int(count) for count in counts),
    )  # fmt: skip


def profit_of(week: Week, made: Made, selling: Selling) -> Floats:
    """Profit in cents, draw by draw."""
    shop = week.shop
    wage = shop.wage_cents_per_hour / 60.0
    used = _used_minutes(week, made, selling)
    minutes = sum(used.values(), np.zeros(made.draws))
    over = sum((np.maximum(0.0, each - shop.minutes_of(day)[work]) for (day, work), each in used.items()
                if work in shop.minutes_of(day)), np.zeros(made.draws))  # fmt: skip
    dearer = shop.overtime_premium_cents_per_minute if shop.overtime.minutes_a_day else 0.0
    income = sum(money_of_selling(selling).values(), np.zeros(made.draws))
    hauled = made.waste_kg * shop.waste_cents_per_kg
    income = income + selling.plan.money.shares_cents
    return income - hauled - minutes * wage - over * dearer + made.hanging_kg * shop.hanging_on_cents_per_kg


def _used_minutes(week: Week, made: Made, selling: Selling) -> dict[tuple[date, str], Floats]:
    """Minutes by day and kind of work, grinding among them."""
    used = dict(made.minutes)
    for day, kg in selling.ground_on_kg.items():
        for work, each in week.shop.grinding.minutes_per_100kg.items():
            used[day, work] = used.get((day, work), np.zeros(made.draws)) + kg * each / 100.0
    return used


def kept_shares(week: Week, selling: Selling) -> dict[int, float]:
    """Share of the draws in which each order that the plan fills is kept, by number."""
    return {number: float(np.mean(kg >= week.orders[number].weight_kg - KEPT_KG))
            for number, kg in selling.filled_kg.items()}  # fmt: skip


def _promise(week: Week, number: int, selling: Selling, kept: Any) -> PromiseTried:
    order = week.orders[number]
    short = order.weight_kg - selling.filled_kg[number][~kept]
    return PromiseTried(order.id, order.slug, order.weight_kg, float(np.mean(kept)),
                        float(short.mean()) if short.size else 0.0, order.must)  # fmt: skip


def _over_minutes(week: Week, made: Made) -> Floats:
    """By how much the worst day's hours and overtime are run over, draw by draw; cutting only: grinding waits."""
    over = np.zeros(made.draws)
    for (day, work), used in made.minutes.items():
        limit = week.shop.minutes_of(day).get(work)
        if limit is not None:
            over = np.maximum(over, used - limit - week.shop.overtime.minutes_a_day.get(work, 0.0))
    return over
