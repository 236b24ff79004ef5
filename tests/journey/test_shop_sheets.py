"""What the sheets say is what the steps said: figures, names and days carried over unchanged."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import numpy as np
import pytest

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.files.sheets.plan_tables import plan_tables
from gambrel.files.shop_sheets import (
    LEAST_SHOWN_KG,
    forecast_sheet,
    kinds_sheet,
    plan_sheet,
    price_sheet,
    product_name,
    rail_curve,
    side_cutout,
    week_plan,
)
from gambrel.journey import Journey, walk
from gambrel.measures.money import show_money
from gambrel.plan.week import Week


@pytest.fixture(scope="module")
def without_plan(week: Week) -> Journey:
    order = replace(week.orders[0], weight_kg=5000.0, must=True)
    return walk(replace(week, orders=(order,)), tree=shipped_tree(), cuts=shipped_cuts(), draws=50)


def test_the_calendar_has_every_day_and_side_of_the_plan(walked: Journey) -> None:
    calendar = week_plan(walked)
    shop = walked.week.shop
    assert calendar.days == tuple(shop.start + timedelta(days=number) for number in range(shop.days))
    assert calendar.today == shop.start
    assert [side.side for side in calendar.sides] == [side.id for side in walked.sides]
    for drawn, side in zip(calendar.sides, walked.sides, strict=True):
        assert (drawn.earliest, drawn.target, drawn.latest) == (
            side.window.earliest, side.window.target, side.window.latest)  # fmt: skip
        assert drawn.cut_on == side.cut_on
        assert drawn.hung_kg == side.today_kg


def test_rail_and_hours_are_the_plans(walked: Journey) -> None:
    calendar = week_plan(walked)
    for use in walked.plan.days:
        rails = [one for one in calendar.rail if one.day == use.day]
        assert [(one.used_m, one.capacity_m) for one in rails] == (
            [] if use.rail_limit_m is None else [(use.rail_m, use.rail_limit_m)]
        )
        work = {one.work: (one.used_min, one.available_min) for one in calendar.work if one.day == use.day}
        assert work == {name: (use.minutes.get(name, 0.0), limit) for name, limit in use.limits.items()}


def test_every_side_cut_has_one_job_on_its_day(walked: Journey) -> None:
    sheet = plan_sheet(walked, shipped_cuts())
    planned = {side.id: side.cut_on for side in walked.sides if side.cut_on is not None}
    assert {job.side: job.day for job in sheet.jobs} == planned
    assert len(sheet.jobs) == len(planned)


def test_pieces_of_a_job_are_the_forecasts_and_fill_the_side(walked: Journey) -> None:
    for job in plan_sheet(walked, shipped_cuts()).jobs:
        forecast = walked.forecasts[job.side]
        shown = [kg for kg in forecast.pieces().values() if kg.mean >= LEAST_SHOWN_KG]
        assert [piece.kg for piece in job.pieces] == shown
        missing = job.hung_kg.mean - sum(piece.kg.mean for piece in job.pieces)
        loss = forecast.totals()["loss_kg"].mean
        assert missing == pytest.approx(loss, abs=LEAST_SHOWN_KG * len(forecast.pieces()))


def test_minutes_of_a_job_are_worked_out_piece_by_piece(walked: Journey) -> None:
    for job in plan_sheet(walked, shipped_cuts()).jobs:
        forecast = walked.forecasts[job.side]
        for work, minutes in job.work_min:
            by_hand = [way.minutes_per_100kg.get(work, 0.0) * float(np.mean(forecast.broken_kg[way.piece])) / 100
                       for way in forecast.ways]  # fmt: skip
            assert minutes == pytest.approx(sum(by_hand))


def test_money_on_the_plan_is_the_plans(walked: Journey) -> None:
    facts = dict(plan_sheet(walked, shipped_cuts()).facts)
    assert facts["profit"] == show_money(walked.plan.profit_cents)
    assert facts["no plan earns more than"] == show_money(walked.plan.bound_cents)


def test_every_price_in_a_note_has_its_sign(walked: Journey) -> None:
    notes = [note for note in plan_sheet(walked, shipped_cuts()).notes if " a kg in week " in note]
    assert notes
    for note in notes:
        assert re.search(r" at \$[\d,]+\.\d\d a kg in week ", note), note


def test_a_week_without_a_plan_has_sheets_but_no_prices(without_plan: Journey) -> None:
    sheet = plan_sheet(without_plan, shipped_cuts())
    assert dict(sheet.facts) == {"plan": "none that keeps every promise"}
    assert sheet.jobs == ()
    assert any(without_plan.week.orders[0].id in note for note in sheet.notes)
    assert [side.cut_on for side in sheet.week.sides] == [None] * len(without_plan.sides)
    assert price_sheet(without_plan, shipped_cuts()) is None
    assert {table.name for table in plan_tables(sheet)} <= {"sides", "rail", "hours"}
    faces = kinds_sheet(without_plan).kinds
    assert all(face.low_cents_per_kg is None and face.high_cents_per_kg is None for face in faces)


def test_a_forecast_sheet_groups_its_pieces_and_keeps_their_weight(walked: Journey) -> None:
    for side in walked.sides:
        sheet = forecast_sheet(walked, side, shipped_cuts())
        groups = [piece.group for piece in sheet.pieces]
        assert groups == sorted(groups)
        whole = sum(kg.mean for kg in walked.forecasts[side.id].pieces().values())
        assert sum(piece.kg.mean for piece in sheet.pieces) == pytest.approx(whole, abs=0.5)
        assert dict(sheet.facts)["kind"] == side.hanging.kind.name


def test_only_bison_is_drawn_with_a_hump_and_fourteen_ribs(walked: Journey) -> None:
    """14 pairs of ribs in bison, 13 in cattle [Beef Research Progress Report 3:26, USDA-ARS, 1988]."""
    seen = set()
    for side in walked.sides:
        cutout = side_cutout(side, walked.forecasts[side.id])
        bison = side.hanging.animal.species == "bison"
        seen.add(bison)
        assert cutout.rib_pairs == (14 if bison else 13)
        assert cutout.ribbed_between == ((13, 14) if bison else (12, 13))
        assert bison or "hump" not in {region.slug for region in cutout.regions}
        assert cutout.hand == side.half
    assert seen == {True, False}


def test_parts_drawn_for_themselves_are_taken_out_of_their_primal(walked: Journey) -> None:
    for side in walked.sides:
        forecast = walked.forecasts[side.id]
        regions = {region.slug: region.kg.mean for region in side_cutout(side, forecast).regions}
        for part, primal in (("hindshank", "round"), ("hump", "chuck")):
            if part in regions:
                whole = float(forecast.primal_kg[primal].mean())
                assert regions[part] + regions[primal] == pytest.approx(whole)


def test_the_rail_curve_begins_at_the_hot_weight_and_only_falls(walked: Journey) -> None:
    for side in walked.sides:
        curve = rail_curve(side, walked.week.shop.start)
        means = [point.kg.mean for point in curve.points]
        assert means[0] == pytest.approx(side.hanging.side_hot_kg[side.half], rel=0.02)
        assert all(later < earlier for earlier, later in pairwise(means))
        widths = [point.kg.p95 - point.kg.p05 for point in curve.points]
        assert widths[-1] > widths[0]
        assert curve.window_days is not None
        assert list(curve.window_days) == sorted(curve.window_days)


def test_the_rail_curve_passes_through_todays_weight(walked: Journey) -> None:
    for side in walked.sides:
        curve = rail_curve(side, walked.week.shop.start)
        assert curve.today_days == max(0, (walked.week.shop.start - side.hanging.killed).days)
        by_day = {point.days: point.kg.mean for point in curve.points}
        assert by_day[curve.today_days] == pytest.approx(side.today_kg.mean, rel=1e-6)


def test_the_price_sheet_lists_each_product_at_its_new_price(walked: Journey) -> None:
    sheet = price_sheet(walked, shipped_cuts())
    assert sheet is not None and walked.prices is not None
    listed = [(line.name, line.cents_per_kg, line.cost_cents_per_kg) for line in sheet.lines]
    assert listed == [(product_name(walked, product, shipped_cuts()), product.new_cents_per_kg,
                       product.cost_cents_per_kg) for product in walked.prices.products]  # fmt: skip
    bids = [value for name, value in sheet.facts if name.startswith("bid for ")]
    assert len(bids) == len(walked.bids)
    assert all(re.fullmatch(r"\$[\d,.]+/lb on the rail, \$[\d,.]+/lb live", value) for value in bids)


def test_each_kind_shows_a_yield_that_adds_up_and_prices_within_its_list(walked: Journey) -> None:
    assert walked.prices is not None
    for face in kinds_sheet(walked).kinds:
        split = face.split
        shares = (split.cuts_share, split.ground_share, split.fat_share, split.bone_share, split.loss_share)
        assert sum(shares) == pytest.approx(1.0, abs=1e-9)
        assert min(shares) >= 0.0
        slug = next(kind.slug for kind in walked.week.kinds.values() if kind.name == face.name)
        sold = [product.new_cents_per_kg for product in walked.prices.products if product.group == slug]
        assert (face.low_cents_per_kg, face.high_cents_per_kg) == (
            min(sold, default=None),
            max(sold, default=None),
        )


def test_a_yield_grade_of_a_bison_is_said_to_be_a_guide(walked: Journey) -> None:
    for side in walked.sides:
        facts = dict(forecast_sheet(walked, side, shipped_cuts()).facts)
        graded = facts.get("yield grade, estimate", "")
        assert ("no USDA grade covers bison" in graded) == (
            side.hanging.animal.species == "bison" and graded != ""
        )
        if side.hanging.animal.species == "bison":
            assert "quality, estimate" not in facts
