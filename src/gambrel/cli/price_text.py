"""The cost sheet, price list and bid as lines of text that a butcher reads: per lb first, kg beside it."""

from __future__ import annotations

import math

from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import lb_from_kg
from gambrel.price.cutting_test import CuttingSheet
from gambrel.price.margin import margin_share
from gambrel.price.sheet import PriceSheet

_NAME_WIDTH = 30


def sheet_lines(sheet: PriceSheet) -> list[str]:
    """The whole answer."""
    lines = [*_cost_lines(sheet), "", *_list_lines(sheet), "", *_bid_lines(sheet)]
    for test in sheet.case.cutting_tests:
        lines += ["", *_test_lines(test)]
    return lines


def per_lb(price_cents_per_kg: float) -> str:
    """ "12.99/lb" from cents per kg."""
    return f"{_dollars(cents_per_lb(price_cents_per_kg))}/lb"


def per_kg(price_cents_per_kg: float) -> str:
    return f"{_dollars(price_cents_per_kg)}/kg"


def _dollars(cents: float) -> str:
    return show_money(cents).replace("$", "")


def _both(price_cents_per_kg: float) -> str:
    return f"{per_lb(price_cents_per_kg)} ({per_kg(price_cents_per_kg)})"


def _weight(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):,.1f} lb ({weight_kg:,.1f} kg)"


def _percent(share: float | None) -> str:
    return "-" if share is None else f"{100 * share:.1f} %"


def _cost_lines(sheet: PriceSheet) -> list[str]:
    case, cost = sheet.case, sheet.cost
    paid = {
        "live": "animal, by live weight",
        "rail": "animal, on the rail",
        "head": "animal, by the head",
        "raised": "animal, raised here",
    }[case.bill.basis]
    dressing = case.bill.dressing_share(case.hot_kg)
    amounts = [
        (paid, cost.bill_cents),
        ("fees", cost.fees_cents),
        ("work on the whole carcass", cost.joint_labour_cents),
        ("getting rid of waste", cost.waste_cents),
        ("less by-products", -cost.by_product_credit_cents),
        ("shared out over the cuts", cost.joint_cents),
        ("work and packing of single cuts", cost.separable_cents),
        ("all of it", cost.total_cents),
    ]
    always = (paid, "shared out over the cuts", "all of it")
    return [
        f"COST  {case.kind.name}, hot {_weight(case.hot_kg)}, hung {_weight(case.hung_kg)}"
        + ("" if dressing is None else f", dressed {_percent(dressing)} of live"),
        *(f"  {name:<34}{show_money(cents):>12}" for name, cents in amounts if cents or name in always),
        f"  bill and fees: {_both(sheet.shrink.cents_per_hot_kg)} hot, "
        f"{_both(sheet.shrink.cents_per_hung_kg)} hung; shrink of {_percent(sheet.shrink.loss_share)} "
        f"took {show_money(sheet.shrink.lost_cents)}",
        f"  sold {_weight(sheet.sold_kg)}: all costs {_both(cost.total_cents / sheet.sold_kg)} sold; "
        f"not in any cut {_weight(sheet.lost_on_block_kg)}",
    ]


def _list_lines(sheet: PriceSheet) -> list[str]:
    prices, method = sheet.price_list, sheet.joint.method.replace("-", " ")
    head = (
        f"  {'cut':<{_NAME_WIDTH}}{'lb':>8}{'cost/lb':>9}{'today/lb':>10}{'NEW/lb':>9}{'NEW/kg':>9}"
        f"{'cost/kg':>9}{'change':>8}{'margin':>9}"
    )
    lines = [
        f"PRICE LIST  cost shared out by {method}; signs by the {prices.sold_by}",
        head,
    ]
    for name, cut, price in sheet.rows():
        kept = margin_share(sales_cents=price.new_sales_cents, cost_cents=cut.cost_cents)
        lines.append(
            f"  {_short(name):<{_NAME_WIDTH}}{lb_from_kg(cut.line.kg):>8.1f}"
            f"{_dollars(cents_per_lb(cut.cost_cents_per_kg)):>9}{_dollars(cents_per_lb(price.today_cents_per_kg)):>10}"
            f"{_dollars(cents_per_lb(price.new_cents_per_kg)):>9}{_dollars(price.new_cents_per_kg):>9}"
            f"{_dollars(cut.cost_cents_per_kg):>9}{100 * price.change_share:>+7.1f}%{_percent(kept):>9}"
        )
    for slug in sheet.joint.cost_only:
        lines.append(f"  {slug} does not cover its own work and packing: it carries none of the animal.")
    return [
        *lines,
        f"  sales today {show_money(prices.today_cents)}, margin {_percent(prices.today_margin_share)}; "
        f"new {show_money(prices.new_cents)}, margin {_percent(prices.new_margin_share)}; "
        f"wanted {_percent(prices.target_share)} ({show_money(prices.needed_cents)})",
        "  The margin is earned."
        if prices.met
        else f"  {show_money(prices.short_cents)} short of the margin.",
    ]


def _bid_lines(sheet: PriceSheet) -> list[str]:
    terms, bid = sheet.case.bid, sheet.bid
    chances = f"{100 * terms.probability:g} chances in 100"
    prices = "today's prices" if terms.prices == "today" else "the new prices"
    live, rail = (bid.at_probability(terms.probability, on=on) for on in ("live", "rail"))
    lines = [
        f"BID  another such animal ({sheet.case.kind.name}), {prices}, margin {_percent(bid.margin_share)}",
        f"  to earn it with {chances}, pay at most {_bid_price(live)} live or {_bid_price(rail)} on the rail",
    ]
    if terms.offer_cents_per_kg is not None:
        offer, on = terms.offer_cents_per_kg, terms.offer_on
        where = "live" if on == "live" else "on the rail"
        lines.append(
            f"  at {_both(offer)} {where} the chance of losing money is "
            f"{_percent(bid.chance_of_losing(offer, on=on))}, of missing the margin "
            f"{_percent(bid.chance_of_missing_margin(offer, on=on))}"
        )
    lines.append("  chances in 100:  " + "  ".join(f"{100 * p:>5.0f}" for p, _, _ in bid.curve()))
    lines.append("  live, per lb:    " + "  ".join(f"{_floor_lb(live):>5}" for _, live, _ in bid.curve()))
    lines.append("  rail, per lb:    " + "  ".join(f"{_floor_lb(rail):>5}" for _, _, rail in bid.curve()))
    return lines


def _bid_price(price_cents_per_kg: float) -> str:
    """A bid is rounded down, so that the chances stated still hold."""
    if price_cents_per_kg <= 0:
        return "nothing"
    return f"{_floor_lb(price_cents_per_kg)}/lb ({math.floor(price_cents_per_kg) / 100:.2f}/kg)"


def _floor_lb(price_cents_per_kg: float) -> str:
    return f"{math.floor(cents_per_lb(price_cents_per_kg) + 1e-9) / 100:.2f}"


def _test_lines(sheet: CuttingSheet) -> list[str]:
    test, cooked = sheet.test, sheet.cooked()
    lines = [
        f"CUTTING TEST  {test.name}: bought {_weight(test.bought_kg)} for {show_money(test.bought_cents)}",
        f"  by-parts {_weight(test.by_part_kg)} worth {show_money(test.by_part_cents)}, "
        f"lost {_weight(test.loss_kg)}",
        f"  usable {_weight(test.usable_kg)}, {_percent(test.usable_share)}, "
        f"for {show_money(test.usable_cents)}: {_both(test.cost_cents_per_usable_kg)}, "
        f"cost factor {test.cost_factor:.3f}",
    ]
    if sheet.portion_kg is not None:
        size = f"{lb_from_kg(sheet.portion_kg) * 16:.1f} oz ({1000 * sheet.portion_kg:.0f} g)"
        lines.append(
            f"  a portion of {size} costs {show_money(test.portion_cents(portion_kg=sheet.portion_kg))}"
        )
    if sheet.new_price_cents_per_kg is not None:
        new = test.new_cost_cents_per_usable_kg(price_cents_per_kg=sheet.new_price_cents_per_kg)
        lines.append(
            f"  bought at {_both(sheet.new_price_cents_per_kg)}: {_both(new)} usable, if the yields hold"
        )
    if cooked is not None:
        lines.append(
            f"  cooked {_weight(cooked.cooked_kg)}: {_both(cooked.cost_cents_per_cooked_kg)} "
            f"on the {cooked.base}, factor {cooked.cost_factor:.3f}"
        )
    return lines


def _short(name: str) -> str:
    return name if len(name) < _NAME_WIDTH else name[: _NAME_WIDTH - 4] + "..."
