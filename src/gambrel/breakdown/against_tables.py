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

PRIMAL_TOLERANCE_POINTS = 1.5
TOTAL_TOLERANCE_PCT = 5.0
_TOGETHER = {"brisket and plate": ("brisket", "plate"), "suet and hanging tender": ("suet", "hanging tender")}


@dataclass(frozen=True, slots=True)
class Line:
    """One printed figure beside the forecast's; `miss` in points for shares and in % of the printed for weights."""

    what: str
    printed: float
    forecast: float
    unit: str
    miss: float
    allowed: float

    @property
    def within(self) -> bool:
        return abs(self.miss) <= self.allowed


def compare(
    table: CutoutTable, *, kinds: Mapping[str, Kind], tree: Tree, cuts: Mapping[str, Cut]
) -> list[Line]:
    """Every printed figure of a table beside the forecast of its animal, hung for no days, cut the nearest way."""
    fields = {"kind": "grain-finished", "sex": "steer", "age_months": 18, "hot": f"{table.hot_lb}lb",
              "hung": f"{table.hot_lb}lb", "seed": 1, **table.known, **table.as_cut}  # fmt: skip
    case = read_case(Entry(fields, table.id, Findings()), kinds, tree)
    forecast, _ = forecast_case(case, tree=tree, cuts=cuts)
    lines = [_share(f"{primal}, share of carcass", printed, 100 * _summed(forecast.primal_share, primal))
             for primal, printed in table.primals.items()]  # fmt: skip
    if table.sold_pct:
        sold = sold_by_primal(case, forecast, tree=tree, cuts=cuts)
        lines += [_share(f"{primal}, share of what is sold", printed, 100 * _summed(sold, primal))
                  for primal, printed in table.sold_pct.items()]  # fmt: skip
    totals = {name: total.mean for name, total in forecast.totals().items()}
    for what, printed_lb, name in (("sold", table.retail_lb, "saleable_kg"), ("fat off", table.fat_lb, "trim_fat_kg"),
                                   ("bone out", table.bone_lb, "bone_kg")):  # fmt: skip
        if printed_lb is not None:
            forecast_lb = table.hot_lb * totals[name] / float(forecast.hung_kg.mean())
            miss = 100 * (forecast_lb - printed_lb) / printed_lb
            lines.append(Line(what, printed_lb, forecast_lb, "lb", miss, TOTAL_TOLERANCE_PCT))
    if table.ground_pct_of_retail is not None:
        ground = 100 * totals["ground_kg"] / totals["saleable_kg"]
        miss = ground - table.ground_pct_of_retail
        lines.append(
            Line("ground, share of what is sold", table.ground_pct_of_retail, ground, "%", miss, 5.0)
        )
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


def _share(what: str, printed: float, forecast: float) -> Line:
    return Line(what, printed, forecast, "%", forecast - printed, PRIMAL_TOLERANCE_POINTS)
