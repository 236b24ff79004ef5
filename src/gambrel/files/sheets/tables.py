"""Forecast, prices and kinds as tables for CSV files and workbooks."""

from __future__ import annotations

from gambrel.files.sheets.inputs import ForecastSheet, KindsSheet, PriceListSheet
from gambrel.files.sheets.table import Table, kg, lb, money, number, share, text, whole
from gambrel.measures.estimate import Estimate
from gambrel.measures.money import cents_per_lb
from gambrel.measures.units import in2_from_cm2, in_from_mm, lb_from_kg

_SPREAD = (kg("mean"), kg("low end of 90 %"), kg("high end of 90 %"), lb("mean"), share("share of the side"))


def _spread(weight_kg: Estimate, hung_kg: float) -> tuple[float, float, float, float, float]:
    return (
        weight_kg.mean,
        weight_kg.p05,
        weight_kg.p95,
        lb_from_kg(weight_kg.mean),
        weight_kg.mean / hung_kg,
    )


def forecast_tables(sheet: ForecastSheet) -> list[Table]:
    """Tabs pieces, regions and totals; an empty one is left out."""
    hung = sheet.cutout.hung_kg.mean
    regions = (text("region"), *_SPREAD, money("price", "$/lb"), money("price", "$/kg"))
    tables = [
        Table("pieces", (text("primal"), text("piece"), *_SPREAD),
              tuple((piece.group, piece.name, *_spread(piece.kg, hung)) for piece in sheet.pieces)),
        Table("regions", regions, tuple(
            (region.name, *_spread(region.kg, hung),
             None if region.cents_per_kg is None else cents_per_lb(region.cents_per_kg), region.cents_per_kg)
            for region in sheet.cutout.regions)),
        Table("totals", (text("total"), *_SPREAD),
              tuple((name, *_spread(weight, hung)) for name, weight in sheet.totals)),
    ]  # fmt: skip
    return [table for table in tables if table.rows]


def price_tables(sheet: PriceListSheet) -> list[Table]:
    """One tab, with cost and margin: for the owner, not for the counter."""
    columns = (
        text("group"),
        text("product"),
        money("price", "$/lb"),
        money("price", "$/kg"),
        money("cost", "$/lb"),
        share("margin"),
        kg("expected"),
        lb("expected"),
        text("note"),
    )
    rows = []
    for one in sheet.lines:
        cost = None if one.cost_cents_per_kg is None else cents_per_lb(one.cost_cents_per_kg)
        pounds = None if one.expected_kg is None else lb_from_kg(one.expected_kg)
        rows.append(
            (
                one.group,
                one.name,
                cents_per_lb(one.cents_per_kg),
                one.cents_per_kg,
                cost,
                one.margin_share,
                one.expected_kg,
                pounds,
                one.note,
            )
        )
    return [Table("prices", columns, tuple(rows))]


def kinds_tables(sheet: KindsSheet) -> list[Table]:
    """One tab, a row a kind."""
    columns = (
        text("kind"),
        number("ribeye", "cm2"),
        number("ribeye", "in2"),
        number("cover", "mm"),
        number("cover", "in", 2),
        number("marbling", "%"),
        kg("side"),
        lb("side"),
        whole("earliest", "days"),
        whole("best", "days"),
        whole("latest", "days"),
        share("cuts"),
        share("ground"),
        share("fat"),
        share("bone"),
        share("loss"),
        money("lowest price", "$/lb"),
        money("highest price", "$/lb"),
    )
    rows = []
    for kind in sheet.kinds:
        split = kind.split
        prices = [
            None if cents is None else cents_per_lb(cents)
            for cents in (kind.low_cents_per_kg, kind.high_cents_per_kg)
        ]
        rows.append(
            (
                kind.name,
                kind.ribeye_cm2.mean,
                in2_from_cm2(kind.ribeye_cm2.mean),
                kind.fat_mm.mean,
                in_from_mm(kind.fat_mm.mean),
                kind.marbling_pct,
                kind.side_kg.mean,
                lb_from_kg(kind.side_kg.mean),
                *kind.hang_days,
                split.cuts_share,
                split.ground_share,
                split.fat_share,
                split.bone_share,
                split.loss_share,
                *prices,
            )
        )
    return [Table("kinds", columns, tuple(rows))]
