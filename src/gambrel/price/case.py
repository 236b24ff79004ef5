"""The price case: one animal's bill, weights, cuts and terms, read from what the owner typed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.catalog.bill import Bill, read_bill
from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import Kind
from gambrel.measures import Entry
from gambrel.measures.units import MASS
from gambrel.price.bid import ON
from gambrel.price.case_cuts import CaseCut, read_cuts, read_relations
from gambrel.price.cutting_test import CuttingSheet, read_cutting_test
from gambrel.price.endings import read_endings
from gambrel.price.fees import Fees, read_fees
from gambrel.price.joint_cost import METHODS
from gambrel.price.labour import Packing, missing_wages, read_packing, read_wages, read_work
from gambrel.price.price_line import SOLD_BY, Relation

USUAL_ENDINGS = (49, 99)
USUAL_TARGET = 0.30
USUAL_PROBABILITY = 0.90
OVER_WEIGHT_SHARE = 0.01
"""Cuts may weigh this much more than the carcass before it is called a slip: scales differ by that."""

USUAL_LOSS_SD = 0.005
"""Published 4-6 % of hot weight by day 14, taken as the mean and two sd either way [freezer-beef notes]."""

USUAL_VALUE_SD_SHARE = 0.06
"""One whole yield grade moves retail cuts by 4.6 points of the carcass [Kansas State University report 262,
1976], about 6 % of what is sold from it; taken as one standard deviation. The shop's own figure is better."""

PRICES = ("today", "new")


@dataclass(frozen=True, slots=True)
class BidTerms:
    """What is asked of the bid: probability, an offer to judge, and how far the next animal may differ."""

    probability: float
    offer_cents_per_kg: float | None
    offer_on: str
    prices: str
    dressing_share: tuple[float, float]
    hanging_loss_share: tuple[float, float]
    hot_kg: tuple[float, float]
    value_sd_share: float
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class PriceCase:
    """Everything `price_animal` needs. Weights are of the whole carcass, both sides."""

    kind: Kind
    hot_kg: float
    hung_kg: float
    bill: Bill
    fees: Fees
    wages_cents_per_h: Mapping[str, int]
    joint_work_min: Mapping[str, float]
    packing: Packing
    method: str
    cuts: tuple[CaseCut, ...]
    relations: tuple[Relation, ...]
    target_share: float
    sold_by: str
    bid: BidTerms
    cutting_tests: tuple[CuttingSheet, ...] = ()

    def cuts_with(self, use: str) -> list[CaseCut]:
        return [cut for cut in self.cuts if cut.use == use]


def read_price_case(entry: Entry, *, kinds: Mapping[str, Kind], catalogue: Mapping[str, Cut]) -> PriceCase:
    """The case from its top table; `CannotDo` with everything that is wrong."""
    kind = kinds.get(entry.word("kind", kinds, required=True) or "")
    hot_kg = entry.quantity("hot", MASS, low=60.0, high=900.0, required=True)
    hung_kg = entry.quantity("hung", MASS, low=50.0, high=900.0, required=True)
    if hot_kg and hung_kg and hung_kg > hot_kg:
        entry.wrong(
            "hung", entry.fields["hung"], "a hung weight not above the hot weight", "Check both weights."
        )
    bill = read_bill(entry.table("bill"), hot_kg=hot_kg)
    fees = read_fees(entry.table("fees"))
    wages = read_wages(entry.table("wages"))
    joint_work = read_work(entry.table("work"))
    for work in missing_wages(joint_work, wages):
        entry.wrong(
            "wages",
            f"{work} minutes in [work] without a wage",
            f"a wage for {work}",
            f'Add {work} = "$25.00" to [wages].',
        )
    packing = read_packing(entry.table("packing"))
    sold_by, endings = _read_list(entry.table("list"))
    method = entry.word("method", METHODS) or METHODS[0]
    cuts = read_cuts(
        entry.tables("cut", required=True),
        catalogue=catalogue,
        species=kind.species if kind else None,
        endings=endings,
        wages_cents_per_h=wages,
        sold_by=sold_by,
    )
    _check_weights(entry, cuts, hung_kg)
    relations = read_relations(entry.tables("relation"), [cut.slug for cut in cuts if cut.use == "sell"])
    target = _read_target(entry.table("margin"))
    bid = _read_bid(entry.table("bid"), kind, hot_kg, hung_kg)
    tests = [test for test in map(read_cutting_test, entry.tables("cutting_test")) if test is not None]
    entry.no_more()
    entry.findings.stop_if_any()
    assert kind and hot_kg and hung_kg and bill and bid  # each of these being absent is a finding
    return PriceCase(
        kind=kind,
        hot_kg=hot_kg,
        hung_kg=hung_kg,
        bill=bill,
        fees=fees,
        wages_cents_per_h=wages,
        joint_work_min=joint_work,
        packing=packing,
        method=method,
        cuts=tuple(cuts),
        relations=tuple(relations),
        target_share=target,
        sold_by=sold_by,
        bid=bid,
        cutting_tests=tuple(tests),
    )


def _check_weights(entry: Entry, cuts: list[CaseCut], hung_kg: float | None) -> None:
    cut_kg = sum(cut.kg for cut in cuts)
    if hung_kg and cut_kg > hung_kg * (1 + OVER_WEIGHT_SHARE):
        entry.wrong(
            "cut",
            f"cuts of {cut_kg:.1f} kg out of a carcass of {hung_kg:.1f} kg",
            "cuts that weigh no more than what hung",
            "Check whether the scale was set to another unit.",
        )


def _read_list(entry: Entry) -> tuple[str, tuple[int, ...]]:
    sold_by = entry.word("sold_by", SOLD_BY) or "lb"
    endings = read_endings(entry, "endings")
    entry.no_more()
    return sold_by, USUAL_ENDINGS if endings is None else endings


def _read_target(entry: Entry) -> float:
    target = entry.number("target", low=0.0, high=0.95, what="a margin as a share of sales such as 0.30")
    entry.no_more()
    return USUAL_TARGET if target is None else target


def _read_bid(
    entry: Entry, kind: Kind | None, hot_kg: float | None, hung_kg: float | None
) -> BidTerms | None:
    probability = entry.number("probability", low=0.01, high=0.999, what="a probability such as 0.9")
    offer = entry.price_cents_per_kg("offer")
    offer_on = entry.word("offer_on", ON) or "live"
    prices = entry.word("prices", PRICES) or "today"
    usual = (kind.dressing_share.mean, kind.dressing_share.sd) if kind else (0.6, 0.02)
    dressing = _mean_sd(entry.table("dressing"), usual, low=0.3, high=0.8)
    loss = 1.0 - hung_kg / hot_kg if hot_kg and hung_kg else 0.0
    hanging = _mean_sd(entry.table("hanging_loss"), (max(0.0, loss), USUAL_LOSS_SD), low=0.0, high=0.5)
    weight = entry.table("hot")
    mean_kg = weight.quantity("mean", MASS, low=60.0, high=900.0)
    sd_kg = weight.quantity("sd", MASS, low=0.0, high=300.0)
    weight.no_more()
    value_sd = entry.number("value_sd_share", low=0.0, high=1.0, what="a share such as 0.06")
    draws = entry.whole("draws", low=100, high=200_000) or 4000
    seed = entry.whole("seed", low=0, high=2**31 - 1)
    entry.no_more()
    if kind is None or hot_kg is None or dressing is None or hanging is None:
        return None
    return BidTerms(
        probability=USUAL_PROBABILITY if probability is None else probability,
        offer_cents_per_kg=offer,
        offer_on=offer_on,
        prices=prices,
        dressing_share=dressing,
        hanging_loss_share=hanging,
        hot_kg=(mean_kg or hot_kg, kind.hot_kg.sd if sd_kg is None else sd_kg),
        value_sd_share=USUAL_VALUE_SD_SHARE if value_sd is None else value_sd,
        draws=draws,
        seed=1 if seed is None else seed,
    )


def _mean_sd(
    entry: Entry, usual: tuple[float, float], *, low: float, high: float
) -> tuple[float, float] | None:
    mean = entry.number("mean", low=low, high=high, what=f"a share from {low:g} to {high:g}")
    sd = entry.number("sd", low=0.0, high=0.2, what="a share such as 0.015")
    entry.no_more()
    return (usual[0] if mean is None else mean, usual[1] if sd is None else sd)
