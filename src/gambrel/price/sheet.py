"""One animal priced: what it cost, what each cut carries, the new list, and the bid for the next one."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from gambrel.measures import Finding
from gambrel.measures.money import round_half_up
from gambrel.price.bid import Bid, BidSpread, bid_from_draws, draws_from_spread
from gambrel.price.case import PriceCase
from gambrel.price.joint_cost import CutCost, JointCost, JointLine, net_joint_cost_cents, share_joint_cost
from gambrel.price.labour import Shrink, labour_cents
from gambrel.price.margin import margin_share
from gambrel.price.price_list import PricedLine, PriceList, build_price_list


@dataclass(frozen=True, slots=True)
class AnimalCost:
    """The animal's cost in whole cents, line by line; each total is the sum of its lines."""

    bill_cents: int
    fees_cents: int
    joint_labour_cents: int
    waste_cents: int
    by_product_credit_cents: int
    separable_cents: int

    @property
    def gross_joint_cents(self) -> int:
        """Before by-products: bill, fees, work on the whole carcass, and what waste costs to be rid of."""
        return self.bill_cents + self.fees_cents + self.joint_labour_cents + self.waste_cents

    @property
    def joint_cents(self) -> int:
        return self.gross_joint_cents - self.by_product_credit_cents

    @property
    def total_cents(self) -> int:
        return self.joint_cents + self.separable_cents


@dataclass(frozen=True, eq=False)
class PriceSheet:
    """Everything that `gambrel price` answers; `findings` are what could not be met."""

    case: PriceCase
    cost: AnimalCost
    shrink: Shrink
    joint: JointCost
    price_list: PriceList
    bid: Bid

    @property
    def findings(self) -> tuple[Finding, ...]:
        return self.price_list.findings

    @property
    def sold_kg(self) -> float:
        return sum(cut.line.kg for cut in self.joint.cuts)

    @property
    def lost_on_block_kg(self) -> float:
        """Hung weight that is in none of the cuts listed."""
        return self.case.hung_kg - sum(cut.kg for cut in self.case.cuts)

    def rows(self) -> list[tuple[str, CutCost, PricedLine]]:
        """(name, cost, price) of every cut that is sold, in the order of the case."""
        names = [cut.name for cut in self.case.cuts_with("sell")]
        return list(zip(names, self.joint.cuts, self.price_list.lines, strict=True))


def price_animal(case: PriceCase) -> PriceSheet:
    """Cost, list and bid of one animal.

    Costs are shared out on today's prices, so that a new list does not move them. `CannotDo` when no cut can
    carry the animal, or when the rules of the list clash.
    """
    lines = {
        use: [
            cut.joint_line(wages_cents_per_h=case.wages_cents_per_h, packing=case.packing)
            for cut in case.cuts_with(use)
        ]
        for use in ("sell", "by-product", "waste")
    }
    cost = _animal_cost(case, lines)
    joint = share_joint_cost(case.method, lines["sell"], joint_cents=cost.joint_cents)
    price_list = build_price_list(
        [cut.price_line() for cut in case.cuts_with("sell")],
        case.relations,
        cost_cents=cost.total_cents,
        target_share=case.target_share,
        sold_by=case.sold_by,
    )
    shrink = Shrink(cost.bill_cents + cost.fees_cents, case.hot_kg, case.hung_kg)
    return PriceSheet(case, cost, shrink, joint, price_list, _bid(case, cost, price_list))


def _animal_cost(case: PriceCase, lines: dict[str, list[JointLine]]) -> AnimalCost:
    credit_cents = -net_joint_cost_cents(gross_cents=0, by_products=lines["by-product"])
    return AnimalCost(
        bill_cents=case.bill.paid_cents,
        fees_cents=case.fees.total_cents(hot_kg=case.hot_kg, hung_kg=case.hung_kg),
        joint_labour_cents=labour_cents(case.joint_work_min, wages_cents_per_h=case.wages_cents_per_h),
        waste_cents=net_joint_cost_cents(gross_cents=0, by_products=lines["waste"]),
        by_product_credit_cents=credit_cents,
        separable_cents=sum(line.separable_cents for line in lines["sell"]),
    )


def _bid(case: PriceCase, cost: AnimalCost, price_list: PriceList) -> Bid:
    """The bid for another animal like this one: its work, packing and credits go by the hot weight."""
    sales_cents = price_list.today_cents if case.bid.prices == "today" else price_list.new_cents
    value = sales_cents / case.hung_kg
    by_weight_cents = cost.total_cents - cost.bill_cents - cost.fees_cents
    spread = BidSpread(
        (value, value * case.bid.value_sd_share),
        case.bid.hanging_loss_share,
        case.bid.dressing_share,
        case.bid.hot_kg,
    )
    drawn = draws_from_spread(spread, draws=case.bid.draws, seed=case.bid.seed)
    return bid_from_draws(
        value_cents_per_hung_kg=drawn.value_cents_per_hung_kg,
        hanging_loss_share=drawn.hanging_loss_share,
        dressing_share=drawn.dressing_share,
        hot_kg=drawn.hot_kg,
        margin_share=case.target_share,
        fees_cents_per_head=float(case.fees.head_cents),
        fees_cents_per_hot_kg=by_weight_cents / case.hot_kg
        + case.fees.cut_wrap_cents_per_hot_kg(loss_share=case.bid.hanging_loss_share[0]),
    )


def sheet_json(sheet: PriceSheet) -> dict[str, Any]:
    """The sheet in metric names: whole cents in `_cents`, prices in `_cents_per_kg`, shares from 0 to 1."""
    case, prices = sheet.case, sheet.price_list
    return {
        "kind": case.kind.slug,
        "hot_kg": case.hot_kg,
        "hung_kg": case.hung_kg,
        "hanging_loss_share": sheet.shrink.loss_share,
        "sold_kg": sheet.sold_kg,
        "lost_on_block_kg": sheet.lost_on_block_kg,
        "dressing_share": case.bill.dressing_share(case.hot_kg),
        "method": sheet.joint.method,
        "sold_by": case.sold_by,
        "cost": _cost_json(sheet),
        "cuts": [_cut_json(*row) for row in sheet.rows()],
        "cost_only": list(sheet.joint.cost_only),
        "margin": {
            "target_share": prices.target_share,
            "today_share": prices.today_margin_share,
            "new_share": prices.new_margin_share,
            "today_sales_cents": prices.today_cents,
            "new_sales_cents": prices.new_cents,
            "needed_sales_cents": prices.needed_cents,
            "met": prices.met,
            "short_cents": prices.short_cents,
        },
        "bid": _bid_json(sheet),
        "cutting_tests": [test.as_json() for test in case.cutting_tests],
        "findings": [finding.as_json() for finding in sheet.findings],
    }


def _cost_json(sheet: PriceSheet) -> dict[str, Any]:
    cost = sheet.cost
    return {
        "paid_by": sheet.case.bill.basis,
        "bill_cents": cost.bill_cents,
        "fees_cents": cost.fees_cents,
        "joint_labour_cents": cost.joint_labour_cents,
        "waste_cents": cost.waste_cents,
        "by_product_credit_cents": cost.by_product_credit_cents,
        "joint_cents": cost.joint_cents,
        "separable_cents": cost.separable_cents,
        "total_cents": cost.total_cents,
        "bill_and_fees_cents_per_hot_kg": sheet.shrink.cents_per_hot_kg,
        "bill_and_fees_cents_per_hung_kg": sheet.shrink.cents_per_hung_kg,
        "shrink_cents": sheet.shrink.lost_cents,
        "cents_per_sold_kg": cost.total_cents / sheet.sold_kg,
    }


def _cut_json(name: str, cut: CutCost, price: PricedLine) -> dict[str, Any]:
    return {
        "slug": cut.line.slug,
        "name": name,
        "kg": cut.line.kg,
        "joint_cents": cut.joint_cents,
        "separable_cents": cut.line.separable_cents,
        "cost_cents": cut.cost_cents,
        "cost_cents_per_kg": cut.cost_cents_per_kg,
        "today_cents_per_kg": price.today_cents_per_kg,
        "new_cents_per_kg": price.new_cents_per_kg,
        "new_label_cents": price.label_cents,
        "change_share": price.change_share,
        "today_sales_cents": price.today_sales_cents,
        "new_sales_cents": price.new_sales_cents,
        "today_margin_share": cut.margin_share,
        "new_margin_share": margin_share(sales_cents=price.new_sales_cents, cost_cents=cut.cost_cents),
    }


def _bid_json(sheet: PriceSheet) -> dict[str, Any]:
    terms, bid = sheet.case.bid, sheet.bid
    offer = terms.offer_cents_per_kg
    return {
        "prices": terms.prices,
        "margin_share": bid.margin_share,
        "probability": terms.probability,
        "live_cents_per_kg": bid.at_probability(terms.probability, on="live"),
        "rail_cents_per_kg": bid.at_probability(terms.probability, on="rail"),
        "rail_head_cents": round_half_up(bid.at_probability(terms.probability, on="rail") * terms.hot_kg[0]),
        "offer": None
        if offer is None
        else {
            "on": terms.offer_on,
            "cents_per_kg": offer,
            "chance_of_losing_share": bid.chance_of_losing(offer, on=terms.offer_on),
            "chance_of_missing_margin_share": bid.chance_of_missing_margin(offer, on=terms.offer_on),
        },
        "curve": [
            {"probability": p, "live_cents_per_kg": live, "rail_cents_per_kg": rail}
            for p, live, rail in bid.curve()
        ],
    }
