"""A price list that earns the margin on the whole animal with the least change from today's prices.

First a linear program on multipliers of today's prices (`list_program.py`), then a small integer program that
gives each cut a price with an allowed ending (`list_endings.py`), so that the list still earns the margin.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from gambrel.measures import Finding
from gambrel.measures.money import show_money, value_cents
from gambrel.price.list_endings import choose_endings
from gambrel.price.list_program import least_change, most_sales
from gambrel.price.margin import margin_share, needed_sales_cents
from gambrel.price.price_line import SOLD_BY, PriceLine, Relation, UnitLine


@dataclass(frozen=True, slots=True)
class PricedLine:
    """A cut with its new price: `label_cents` is what the sign says, per lb or per kg as the shop sells."""

    slug: str
    kg: float
    today_cents_per_kg: float
    label_cents: int
    new_cents_per_kg: float

    @property
    def today_sales_cents(self) -> int:
        return value_cents(self.kg, self.today_cents_per_kg)

    @property
    def new_sales_cents(self) -> int:
        return value_cents(self.kg, self.new_cents_per_kg)

    @property
    def change_share(self) -> float:
        return self.new_cents_per_kg / self.today_cents_per_kg - 1.0


@dataclass(frozen=True, slots=True)
class PriceList:
    """The list, what it had to earn and what it earns. `findings` say why when it falls short.

    `promised_cents` are sales at prices that are settled already: they count as sales, today and new.
    """

    sold_by: str
    cost_cents: int
    target_share: float
    lines: tuple[PricedLine, ...]
    findings: tuple[Finding, ...] = ()
    promised_cents: int = 0

    @property
    def needed_cents(self) -> int:
        return needed_sales_cents(cost_cents=self.cost_cents, margin_share=self.target_share)

    @property
    def today_cents(self) -> int:
        return self.promised_cents + sum(line.today_sales_cents for line in self.lines)

    @property
    def new_cents(self) -> int:
        return self.promised_cents + sum(line.new_sales_cents for line in self.lines)

    @property
    def short_cents(self) -> int:
        """How much the list falls short of the sales it needs; 0 when it earns the margin."""
        return max(0, self.needed_cents - self.new_cents)

    @property
    def met(self) -> bool:
        return self.short_cents == 0

    @property
    def today_margin_share(self) -> float | None:
        return margin_share(sales_cents=self.today_cents, cost_cents=self.cost_cents)

    @property
    def new_margin_share(self) -> float | None:
        return margin_share(sales_cents=self.new_cents, cost_cents=self.cost_cents)


def build_price_list(
    lines: Sequence[PriceLine],
    relations: Sequence[Relation] = (),
    *,
    cost_cents: int,
    target_share: float,
    sold_by: str = "lb",
    promised_cents: int = 0,
) -> PriceList:
    """The list of least change that earns `target_share` on `cost_cents`, or the dearest one allowed.

    Where ceilings make the margin impossible the list is the one that brings most, with a finding that says
    how much it is short and which ceilings hold it. `CannotDo` when floors, ceilings, relations and endings
    clash among themselves. Relations name slugs of `lines`; today's prices are above 0. `promised_cents` is what
    sales at settled prices bring on top.
    """
    units = [UnitLine.of(line, SOLD_BY[sold_by]) for line in lines]
    wanted = PriceList(sold_by, cost_cents, target_share, (), (), promised_cents)
    labels, findings = _choose(units, relations, wanted) if units else ([], _short_without_lines(wanted))
    priced = tuple(
        PricedLine(line.slug, line.kg, line.today_cents_per_kg, label, label / SOLD_BY[sold_by])
        for line, label in zip(lines, labels, strict=True)
    )
    return replace(wanted, lines=priced, findings=tuple(findings))


def _choose(
    units: Sequence[UnitLine], relations: Sequence[Relation], wanted: PriceList
) -> tuple[list[int], list[Finding]]:
    """Whole-cent prices for the lines, with a finding when they cannot bring enough."""
    needed_cents = wanted.needed_cents - wanted.promised_cents
    prices = least_change(units, relations, needed_cents=needed_cents)
    if prices is None:
        prices, holding = most_sales(units, relations)
        most_cents = sum(unit.units * price for unit, price in zip(units, prices, strict=True))
        labels = choose_endings(units, relations, prices, needed_cents=0, most=True)
        return labels or [], [_short_at_ceilings(wanted.promised_cents + most_cents, holding, wanted)]
    labels = choose_endings(units, relations, prices, needed_cents=needed_cents)
    if labels is not None:
        return labels, []
    labels = choose_endings(units, relations, prices, needed_cents=0, most=True) or []
    brought = sum(unit.sales_cents(label) for unit, label in zip(units, labels, strict=True))
    return labels, [_short_by_endings(wanted.promised_cents + brought, wanted)]


def _short_at_ceilings(most_cents: float, holding: Mapping[str, float], wanted: PriceList) -> Finding:
    margin = margin_share(sales_cents=most_cents, cost_cents=wanted.cost_cents) or 0.0
    worth = ", ".join(
        f"{slug} {show_money(gain * 100)}"
        for slug, gain in sorted(holding.items(), key=lambda item: -item[1])
    )
    return Finding(
        where="price list",
        given=f"at the ceilings the cuts bring {show_money(most_cents)}, a margin of {margin:.1%}",
        wanted=_wanted(most_cents, wanted),
        do=f"Raise a ceiling (a dollar more a {wanted.sold_by} brings: {worth}), or bring the cost down by "
        f"{show_money(wanted.cost_cents - most_cents * (1 - wanted.target_share))}.",
    )


def _short_by_endings(most_cents: int, wanted: PriceList) -> Finding:
    return Finding(
        where="price list",
        given=f"with these endings under the ceilings the cuts bring {show_money(most_cents)}",
        wanted=_wanted(most_cents, wanted),
        do="Allow another ending, or put the ceilings on prices that end as the shop writes them.",
    )


def _short_without_lines(wanted: PriceList) -> list[Finding]:
    if wanted.met:
        return []
    return [Finding(
        where="price list",
        given=f"no cut whose price may change; what is promised brings {show_money(wanted.promised_cents)}",
        wanted=_wanted(wanted.promised_cents, wanted),
        do="Sell at the counter too, ask more for the next orders, or bring the cost down.",
    )]  # fmt: skip


def _wanted(brought_cents: float, wanted: PriceList) -> str:
    return (
        f"{show_money(wanted.needed_cents)} for a margin of {wanted.target_share:.1%}; "
        f"{show_money(wanted.needed_cents - brought_cents)} short"
    )
