"""The whole job on one small week: every step's answer agrees with the others."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.journey import Journey, walk
from gambrel.plan.week import Week
from gambrel.standards.usda_yield import beef_yield_grade


def test_every_side_is_weighed_forecast_and_graded(walked: Journey, week: Week) -> None:
    ids = {hanging.side_id(half) for hanging in week.animals for half in hanging.side_hot_kg}
    assert {side.id for side in walked.sides} == ids == set(walked.forecasts)
    assert set(walked.grades) == {hanging.id for hanging in week.animals}


def test_a_side_weighs_less_than_hot_and_the_forecast_balances(walked: Journey) -> None:
    for side in walked.sides:
        hot_kg = side.hanging.side_hot_kg[side.half]
        assert 0.85 * hot_kg < side.today_kg.mean <= hot_kg
        forecast = walked.forecasts[side.id]
        assert forecast.balance_error_kg < 1e-9
        assert float(forecast.hung_kg.mean()) <= hot_kg


def test_cutting_days_lie_in_the_window_and_the_plan_weighs_what_the_rail_says(walked: Journey) -> None:
    for side in walked.sides:
        if side.plan is None or side.plan.day is None:
            continue
        assert side.window.earliest <= side.plan.day <= side.window.latest
        assert side.plan.weight_kg == pytest.approx(float(walked.forecasts[side.id].hung_kg.mean()), rel=0.01)


def test_the_forecast_takes_the_plans_ways(walked: Journey) -> None:
    for side in walked.sides:
        if side.plan is not None and side.plan.day is not None:
            taken = {way.piece: way.name for way in walked.forecasts[side.id].ways}
            planned = {piece: way for piece, way in side.plan.ways.items() if piece in taken}
            assert planned == taken


def test_yield_grades_are_the_published_equation(walked: Journey) -> None:
    # 7 CFR 54.105(a); the journey must not change a figure on the way.
    for hanging in walked.week.animals:
        face = walked.grades[hanging.id].face.in_us_units()
        assert walked.grades[hanging.id].yield_grade == pytest.approx(beef_yield_grade(**face))


def test_bison_is_never_given_a_usda_quality_grade(walked: Journey) -> None:
    bison = [hanging.id for hanging in walked.week.animals if hanging.animal.species == "bison"]
    assert bison
    for name in bison:
        assert walked.grades[name].quality_grade is None
        assert walked.grades[name].findings


def test_prices_carry_the_whole_cost_to_the_cent(walked: Journey) -> None:
    assert walked.prices is not None
    for cost in walked.prices.kinds.values():
        assert sum(cut.joint_cents for cut in cost.joint.cuts) == cost.joint.joint_cents
    sold = walked.prices.price_list
    assert sold.new_cents >= sold.needed_cents or sold.findings


def test_the_bid_falls_as_the_shop_wants_to_be_surer(walked: Journey) -> None:
    assert set(walked.bids) == set(walked.prices.kinds if walked.prices else ())
    for bid in walked.bids.values():
        assert bid.at_probability(0.5, on="rail") > bid.at_probability(0.95, on="rail")
        assert bid.at_probability(0.8, on="live") < bid.at_probability(0.8, on="rail")


def test_the_same_week_and_seed_give_the_same_figures(walked: Journey, week: Week) -> None:
    again = walk(week, tree=shipped_tree(), cuts=shipped_cuts(), draws=400, seed=1, gap=0.05)
    assert again.plan.money == walked.plan.money
    for side, forecast in walked.forecasts.items():
        assert all(np.array_equal(again.forecasts[side].kg[slug], kg) for slug, kg in forecast.kg.items())


def test_an_animal_without_a_bill_gives_a_plan_and_a_finding_instead_of_prices(week: Week) -> None:
    first = replace(week.animals[0], bill=None)
    poorer = replace(week, animals=(first, *week.animals[1:]))
    journey = walk(poorer, tree=shipped_tree(), cuts=shipped_cuts(), draws=100, seed=1, gap=0.05)
    assert journey.plan.has_plan and journey.prices is None
    assert any(first.id in finding.where for finding in journey.findings)


def test_a_promise_that_cannot_be_kept_is_said_and_nothing_is_priced(week: Week) -> None:
    order = replace(week.orders[0], weight_kg=5000.0, must=True)
    journey = walk(replace(week, orders=(order,)), tree=shipped_tree(), cuts=shipped_cuts(), draws=100)
    assert journey.plan.status == "no-plan" and journey.prices is None and not journey.bids
    assert any(
        order.id in finding.where or order.id in finding.sentence() for finding in journey.plan.findings
    )
    assert len(journey.forecasts) == len(journey.sides)  # the sides still hang and are still forecast
