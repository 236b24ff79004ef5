"""Joint cost: one animal's cost shared out over its cuts, to the cent.

Relative sales value at split-off: each cut carries cost in the proportion of what it sells for, so that every
cut shows the same margin there. Net realisable value: what a cut needs after split-off (labour, packing) is
taken off its sales first. By-products take no share; their net value is taken off the joint cost [cost
accounting, joint products and by-products, chapter 16 of a standard text; its poultry case is a test].
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.measures import Findings
from gambrel.measures.money import split_cents, value_cents
from gambrel.price.margin import margin_share

RELATIVE_SALES = "relative-sales-value"
NET_REALISABLE = "net-realisable-value"
METHODS = (NET_REALISABLE, RELATIVE_SALES)


@dataclass(frozen=True, slots=True)
class JointLine:
    """A cut as it leaves the block: its weight, what it sells for, and what it costs after split-off."""

    slug: str
    kg: float
    price_cents_per_kg: float
    separable_cents: int = 0

    @property
    def sales_cents(self) -> int:
        return value_cents(self.kg, self.price_cents_per_kg)

    @property
    def net_realisable_cents(self) -> int:
        return self.sales_cents - self.separable_cents


@dataclass(frozen=True, slots=True)
class CutCost:
    """What one cut carries: its share of the joint cost and its own."""

    line: JointLine
    joint_cents: int

    @property
    def cost_cents(self) -> int:
        return self.joint_cents + self.line.separable_cents

    @property
    def cost_cents_per_kg(self) -> float:
        return self.cost_cents / self.line.kg

    @property
    def margin_at_split_off_share(self) -> float | None:
        """Margin on the joint cost alone."""
        return margin_share(sales_cents=self.line.sales_cents, cost_cents=self.joint_cents)

    @property
    def margin_share(self) -> float | None:
        """Margin after the cut's own costs too."""
        return margin_share(sales_cents=self.line.sales_cents, cost_cents=self.cost_cents)


@dataclass(frozen=True, slots=True)
class JointCost:
    """The joint cost shared out; `sum(cut.joint_cents)` is `joint_cents` exactly.

    `cost_only` names the cuts whose own cost is more than they bring: they take no joint cost.
    """

    method: str
    joint_cents: int
    cuts: tuple[CutCost, ...]
    cost_only: tuple[str, ...]

    @property
    def cost_cents(self) -> int:
        return sum(cut.cost_cents for cut in self.cuts)


def net_joint_cost_cents(*, gross_cents: int, by_products: Sequence[JointLine]) -> int:
    """The joint cost after the net value of by-products; one that costs money to be rid of adds to it."""
    return gross_cents - sum(line.net_realisable_cents for line in by_products)


def by_relative_sales_value(lines: Sequence[JointLine], *, joint_cents: int) -> JointCost:
    """Shared out by sales at split-off; `CannotDo` when no cut sells for anything."""
    return _share_out(RELATIVE_SALES, lines, joint_cents, [line.sales_cents for line in lines])


def by_net_realisable_value(lines: Sequence[JointLine], *, joint_cents: int) -> JointCost:
    """Shared out by sales less own cost; a cut that does not cover its own cost takes none of the joint cost.

    `CannotDo` when every cut costs more to make than it brings.
    """
    return _share_out(NET_REALISABLE, lines, joint_cents, [line.net_realisable_cents for line in lines])


def share_joint_cost(method: str, lines: Sequence[JointLine], *, joint_cents: int) -> JointCost:
    """By the method of that name."""
    return {RELATIVE_SALES: by_relative_sales_value, NET_REALISABLE: by_net_realisable_value}[method](
        lines, joint_cents=joint_cents
    )


def _share_out(method: str, lines: Sequence[JointLine], joint_cents: int, bases: Sequence[int]) -> JointCost:
    weights = [max(0, base) for base in bases]
    if sum(weights) <= 0:
        findings = Findings()
        findings.add(
            "cost of the cuts",
            "no cut that brings more than it costs after the block",
            "at least one cut with something left to carry the animal",
            "Check prices, minutes and packing.",
        )
        findings.stop_if_any()
    shares = split_cents(joint_cents, weights)
    return JointCost(
        method=method,
        joint_cents=joint_cents,
        cuts=tuple(CutCost(line, share) for line, share in zip(lines, shares, strict=True)),
        cost_only=tuple(line.slug for line, base in zip(lines, bases, strict=True) if base <= 0),
    )
