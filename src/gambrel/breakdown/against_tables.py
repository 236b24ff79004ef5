"""The forecast held against published whole-carcass tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.breakdown.case import Case, forecast_case, read_case
from gambrel.breakdown.forecast import Forecast, expected_shares
from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import Kind
from gambrel.catalog.tree_totals import PRIMAL_OF_PIECE
from gambrel.catalog.ways import LOSS, ROOT, Tree
from gambrel.measures import Entry, Findings
from gambrel.standards.cutouts import CutoutTable

PRIMAL_POINTS = 1.5
GROUND_POINTS = 5.0
TOTAL_SHARE = 0.05
_TOGETHER = {"brisket and plate": ("brisket", "plate"), "suet and hanging tender": ("suet", "hanging tender")}


@dataclass(frozen=True, slots=True)
class Line:
    """One printed figure beside the forecast's, both as a percentage of the whole that `what` names.

    `allowed_pct` is the difference that still counts as agreement, in points of the same percentage.
    """

    what: str
    printed_pct: float
    forecast_pct: float
    allowed_pct: float

    @property
    def miss_pct(self) -> float:
        """Forecast less printed, in points."""
        return self.forecast_pct - self.printed_pct

    @property
    def within(self) -> bool:
        return abs(self.miss_pct) <= self.allowed_pct


def compare(
    table: CutoutTable, *, kinds: Mapping[str, Kind], tree: Tree, cuts: Mapping[str, Cut]
) -> list[Line]:
    """Every printed figure of a table beside the forecast of its animal, hung for no days, cut the nearest way."""
    hot = f"{table.hot_lb}lb"
    fields = {"kind": "grain-finished", "sex": "steer", "age_months": 18, "hot": hot, "hung": hot, "seed": 1}
    case = read_case(Entry({**fields, **table.known, **table.as_cut}, table.id, Findings()), kinds, tree)
    forecast, _ = forecast_case(case, tree=tree, cuts=cuts)
    lines = [
        Line(f"{primal}, of the carcass", pct, 100 * _summed(forecast.primal_share, primal), PRIMAL_POINTS)
        for primal, pct in table.primals.items()
    ]
    if table.sold_pct:
        sold = sold_by_primal(case, forecast, tree=tree, cuts=cuts)
        lines += [
            Line(f"{primal}, of what is sold", pct, 100 * _summed(sold, primal), PRIMAL_POINTS)
            for primal, pct in table.sold_pct.items()
        ]
    hung_kg = float(forecast.hung_kg.mean())
    made_pct = {name: 100 * total.mean / hung_kg for name, total in forecast.totals().items()}
    weights_lb = {"sold": table.retail_lb, "fat off": table.fat_lb, "bone out": table.bone_lb}
    names = ("saleable_kg", "trim_fat_kg", "bone_kg")
    for (what, printed_lb), name in zip(weights_lb.items(), names, strict=True):
        if printed_lb is not None:
            pct = 100 * printed_lb / table.hot_lb
            lines.append(
                Line(f"{what} ({printed_lb:g} lb), of the carcass", pct, made_pct[name], pct * TOTAL_SHARE)
            )
    if table.ground_pct_of_retail is not None:
        ground = 100 * made_pct["ground_kg"] / made_pct["saleable_kg"]
        lines.append(Line("ground, of what is sold", table.ground_pct_of_retail, ground, GROUND_POINTS))
    return lines


def sold_by_primal(
    case: Case, forecast: Forecast, *, tree: Tree, cuts: Mapping[str, Cut]
) -> dict[str, float]:
    """Share of what is sold that comes from each primal, suet counted as sold, at the central shares; adds to 1."""
    shares = expected_shares(case.animal, tree=tree, cuts=cuts)
    amounts: dict[tuple[str, str], float] = {(ROOT, ""): 1.0}
    for way in forecast.ways:
        for piece, primal in [key for key in amounts if key[0] == way.piece]:
            amount = amounts.pop((piece, primal))
            for slug, share in shares[way.piece, way.name].items():
                key = (slug, primal or PRIMAL_OF_PIECE.get(slug, ""))
                amounts[key] = amounts.get(key, 0.0) + amount * share
    sold: dict[str, float] = {}
    for (slug, primal), amount in amounts.items():
        if slug != LOSS and (cuts[slug].use not in ("bone", "fat") or primal == "suet"):
            sold[primal] = sold.get(primal, 0.0) + amount
    whole = sum(sold.values())
    return {primal: amount / whole for primal, amount in sold.items()}


def _summed(shares: Mapping[str, float], primal: str) -> float:
    return sum(shares.get(name, 0.0) for name in _TOGETHER.get(primal, (primal,)))
