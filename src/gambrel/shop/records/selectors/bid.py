"""What may be paid for the next animal of a kind, judged by the plan that the shop works by."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from uuid import UUID

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.files.drawing.bid import BidCurve, bid_svg
from gambrel.journey import ways_of_kind
from gambrel.measures import CannotDo, Finding
from gambrel.price.bid import Bid
from gambrel.price.week_bid import bid_for_kind
from gambrel.shop.records.models import Plan
from gambrel.shop.records.selectors.plan import accepted_plan, known_to, planned, planned_by, prices_of
from gambrel.shop.records.shop_yields import Taught, model_source

DRAWS, SEED = 4000, 1


@dataclass(frozen=True, slots=True)
class BidLine:
    """One kind: the most that may be paid to earn the margin this surely [cents/kg], live and on the rail."""

    chance_share: float
    live_cents_per_kg: float
    rail_cents_per_kg: float


@dataclass(frozen=True, slots=True)
class BidPage:
    """`kinds`: those the plan breaks, with their names. Without a plan, or for a kind it lacks, no lines."""

    plan: Plan | None
    kinds: tuple[tuple[str, str], ...]
    kind: str | None
    margin_pct: float = 0.0
    head: float = 0.0
    lines: tuple[BidLine, ...] = ()
    picture: str = ""
    offer_cents_per_kg: float | None = None
    on: str = "rail"
    missing_share: float | None = None
    losing_share: float | None = None
    findings: tuple[Finding, ...] = ()
    known: Taught | None = None
    supplier: str = ""

    @property
    def suppliers(self) -> tuple[str, ...]:
        """Those whose sides have taught something."""
        return (
            tuple(sorted({test.supplier for test in self.known.tests if test.supplier})) if self.known else ()
        )


def bid_page(
    *,
    kind: str | None,
    offer_cents_per_kg: float | None,
    on: str,
    supplier: str = "",
    plan: Plan | None = None,
) -> BidPage:
    """Everything the bid page shows; from the accepted plan's cuts of the kind, and by the yields that the `supplier`'s
    sides have taught ("": whoever brings it). `plan` is the accepted one where it is known."""
    plan = plan or accepted_plan()
    found = planned(plan) if plan is not None else None
    if plan is None or found is None:
        return BidPage(None, (), None, on=on)
    try:
        prices = prices_of(plan.key)
    except CannotDo as refusal:
        return BidPage(plan, (), None, on=on, findings=tuple(refusal.findings))
    week = found[0]
    kinds = tuple((slug, week.kinds[slug].name) for slug in prices.kinds)
    chosen = kind if kind in prices.kinds else next(iter(prices.kinds), None)
    if chosen is None:
        return BidPage(plan, kinds, None, on=on)
    bid = _bid(plan.key, chosen, supplier)
    lines = tuple(BidLine(*row) for row in bid.curve())
    points = tuple((one.chance_share, getattr(one, f"{on}_cents_per_kg")) for one in lines)
    title = f"{week.kinds[chosen].name}, {'live weight' if on == 'live' else 'hot weight on the rail'}"
    return BidPage(
        plan=plan,
        kinds=kinds,
        kind=chosen,
        margin_pct=100 * bid.margin_share,
        head=prices.kinds[chosen].head,
        lines=lines,
        picture=bid_svg(BidCurve(title, on, points, offer_cents_per_kg)),
        offer_cents_per_kg=offer_cents_per_kg,
        on=on,
        known=known_to(plan.key),
        supplier=supplier,
        missing_share=None
        if offer_cents_per_kg is None
        else bid.chance_of_missing_margin(offer_cents_per_kg, on=on),
        losing_share=None if offer_cents_per_kg is None else bid.chance_of_losing(offer_cents_per_kg, on=on),
    )


@lru_cache(maxsize=32)
def _bid(key: UUID, kind: str, supplier: str) -> Bid:
    week, result = planned_by(key)
    tree = shipped_tree().trimmed(week.shop.trim)
    return bid_for_kind(
        week.kinds[kind], prices_of(key).kinds[kind], week, result,
        ways=ways_of_kind(kind, result), tree=tree, cuts=shipped_cuts(), draws=DRAWS, seed=SEED,
        models=model_source(known_to(key), {"": supplier}),
    )  # fmt: skip
