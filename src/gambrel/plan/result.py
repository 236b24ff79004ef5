"""A plan as values: who is cut when and how, what is sold to whom, what it earns and what holds it back."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from gambrel.measures import Finding
from gambrel.plan.market import Origin


@dataclass(frozen=True, slots=True)
class SidePlan:
    """One side: the day it is cut (None: it hangs on), what it weighs then, and the way of each piece."""

    id: str
    animal: str
    half: str
    kind: str
    day: date | None
    weight_kg: float
    ways: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Move:
    """Meat of one cut made on any of `days` that goes to one taker.

    `to` is counter, order, ground, surplus or kept (in the freezer after the plan). `taker` numbers the demand
    (counter, ground) or the order; `week`
    is set for the counter, `ground_on` for ground.
    """

    slug: str
    origin: Origin
    days: tuple[date, ...]
    to: str
    kg: float
    taker: int | None = None
    week: int | None = None
    ground_on: date | None = None


@dataclass(frozen=True, slots=True)
class Sale:
    """Sold at the counter: one product, one week, one price step."""

    demand: int
    week: int
    step: int
    kg: float
    price_cents_per_kg: float
    cents: int


@dataclass(frozen=True, slots=True)
class Filled:
    """An order and what it gets."""

    order: int
    kg: float
    cents: int


@dataclass(frozen=True, slots=True)
class Surplus:
    """Meat that no step and no order takes: at its salvage price, the cost of hauling (negative cents), or what it is
    worth in the freezer after the plan (`kept`)."""

    slug: str
    origin: Origin
    kg: float
    price_cents_per_kg: float
    cents: int
    kept: bool = False


@dataclass(frozen=True, slots=True)
class DayUse:
    """One day of the plan: sides cut, minutes of work and metres of rail, each beside its limit (None: none).

    `overtime` are the minutes above a limit, those among `minutes`.
    """

    day: date
    cutting: bool
    sides: tuple[str, ...]
    minutes: Mapping[str, float]
    limits: Mapping[str, float]
    rail_m: float
    rail_limit_m: float | None
    hauled_kg: float
    overtime: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Money:
    """The lines that make the profit, in whole cents; costs are negative."""

    counter_cents: int = 0
    orders_cents: int = 0
    surplus_cents: int = 0
    hauling_cents: int = 0
    wages_cents: int = 0
    hanging_on_cents: int = 0
    overtime_cents: int = 0
    freezing_cents: int = 0
    shares_cents: int = 0

    @property
    def profit_cents(self) -> int:
        return (self.counter_cents + self.orders_cents + self.surplus_cents + self.hauling_cents
                + self.labour_cents + self.hanging_on_cents + self.freezing_cents + self.shares_cents)  # fmt: skip

    @property
    def labour_cents(self) -> int:
        """Wages, and what overtime costs above them."""
        return self.wages_cents + self.overtime_cents


COUNTS = (
    "money from the counter, orders, shares and salvage and the worth of what is kept frozen, less wages for cutting, "
    "grinding and packing, overtime, freezing and the cost of hauling what is thrown away; the animals' own bills are "
    "already spent and are not in it"
)
"""What `profit` counts, in words."""


@dataclass(frozen=True, slots=True)
class Binding:
    """A rule that holds the plan back, and what easing it by one unit is worth with every side cut as planned."""

    rule: str
    unit: str
    worth_cents: float


@dataclass(frozen=True, slots=True)
class PlanResult:
    """The answer of the plan. With status no-plan only `findings` (the promises that clash) means anything.

    `freezer` is what lies there at the end of each week of the plan [kg].
    """

    status: str
    bound_cents: int
    gap: float
    seconds: float
    money: Money = Money()
    sides: tuple[SidePlan, ...] = ()
    sales: tuple[Sale, ...] = ()
    filled: tuple[Filled, ...] = ()
    surplus: tuple[Surplus, ...] = ()
    moves: tuple[Move, ...] = ()
    days: tuple[DayUse, ...] = ()
    binding: tuple[Binding, ...] = ()
    findings: tuple[Finding, ...] = ()
    freezer: tuple[float, ...] = ()
    sizes: Mapping[str, int] = field(default_factory=dict)

    @property
    def profit_cents(self) -> int:
        return self.money.profit_cents

    @property
    def has_plan(self) -> bool:
        return bool(self.sides)

    def bounded_by(self, first: PlanResult) -> PlanResult:
        """This plan of the same week beside what `first` has proven of every plan."""
        bound_cents = max(first.bound_cents, self.profit_cents)
        gap = (bound_cents - self.profit_cents) / max(1.0, abs(self.profit_cents))
        status = first.status if gap <= first.gap else "within-gap"
        return replace(self, bound_cents=bound_cents, gap=gap, status=status, seconds=first.seconds,
                       findings=first.findings)  # fmt: skip
