"""What may be bid for the next animal of a kind, judged by what the plan makes of the ones that hang."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown import Forecast, forecast_side
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import Kind
from gambrel.catalog.ways import Tree
from gambrel.hang.loss import LossModel
from gambrel.plan.result import PlanResult
from gambrel.plan.shares import ModelSource
from gambrel.plan.week import Week
from gambrel.price.bid import Bid, bid_from_draws
from gambrel.price.week_costs import KindCost
from gambrel.price.week_own import LEFT, of_the_animals
from gambrel.price.week_sales import realised


def bid_for_kind(
    kind: Kind, cost: KindCost, week: Week, plan: PlanResult, *, ways: Mapping[str, str], tree: Tree,
    cuts: Mapping[str, Cut], draws: int, seed: int, models: ModelSource | None = None,
) -> Bid:  # fmt: skip
    """The bid for an animal of the kind's usual make, broken by `ways` on the kind's target day.

    Its cuts are taken to bring what the plan's cuts of the kind bring on average, surplus among them, and to
    cost the same in fees and labour; `models` are what a shop has learned of its yields. What is not known of it
    (weight, rib face, loss, dressing, yield) is drawn.
    """
    rng = np.random.default_rng((seed, 7))
    animal = Animal(kind=kind, sex=kind.sexes[0], hot_kg=kind.hot_kg.mean, age_months=kind.usual_age_months)
    loss = LossModel.prior(kind, fat_mm=None, side_hot_kg=kind.hot_kg.mean / 2)
    remaining = loss.draw_remaining(kind.hang_days[1], draws, rng)
    hot = np.maximum(0.4 * kind.hot_kg.mean, kind.hot_kg.mean + kind.hot_kg.sd * rng.standard_normal(draws))
    dressing = np.clip(
        kind.dressing_share.mean + kind.dressing_share.sd * rng.standard_normal(draws), 0.3, 0.8
    )
    forecast = forecast_side(animal, ways, tree=tree, cuts=cuts, hung_kg=np.ones(draws), seed=seed,
                             learned=models(animal) if models else None)  # fmt: skip
    shop = week.shop
    packed = _packed_share(forecast) * float(np.mean(remaining))  # of the hot weight
    fees_per_kg = cost.labour_cents / cost.hot_kg + shop.margin.packing_cents_per_kg * packed
    kill = [h.bill.kill_fee_cents for h in week.animals if h.bill and h.kind.slug == kind.slug and h.is_sold]
    return bid_from_draws(
        value_cents_per_hung_kg=_value(forecast, kind, week, plan),
        hanging_loss_share=np.clip(1.0 - remaining, 0.0, 0.5), dressing_share=dressing, hot_kg=hot,
        fees_cents_per_head=shop.margin.overhead_cents_per_head + (sum(kill) / len(kill) if kill else 0.0),
        fees_cents_per_hot_kg=fees_per_kg, margin_share=shop.margin.target_pct / 100.0,
    )  # fmt: skip


def _value(forecast: Forecast, kind: Kind, week: Week, plan: PlanResult) -> NDArray[np.float64]:
    """What a hung kilogram brings [cents], draw by draw."""
    kg: dict[str, float] = {}
    cents: dict[str, float] = {}
    plan = of_the_animals(plan)
    prices = realised(week, plan)
    for move in plan.moves:
        if move.origin.kinds == {kind.slug} and move.origin.ground is None and move.to not in LEFT:
            kg[move.slug] = kg.get(move.slug, 0.0) + move.kg
            cents[move.slug] = cents.get(move.slug, 0.0) + move.kg * prices.of(move)
    for one in plan.surplus:
        if one.origin.kinds == {kind.slug} and one.origin.ground is None:
            kg[one.slug] = kg.get(one.slug, 0.0) + one.kg
            cents[one.slug] = cents.get(one.slug, 0.0) + one.cents
    total = np.zeros_like(forecast.hung_kg)
    for slug, made in forecast.kg.items():
        if slug in kg:
            total = total + made * (cents[slug] / kg[slug])
    return total / forecast.hung_kg


def _packed_share(forecast: Forecast) -> float:
    return float(np.mean(forecast.total_draws()["saleable_kg"] / forecast.hung_kg))
