"""One week's file as values: what hangs, what sells, what is promised, and what the shop can do in a day.

The whole job is done from this one file: grades, hanging, forecast, plan and prices all start here.
Weights in kilograms, money in cents, prices in cents per kilogram, times in minutes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from gambrel.catalog.animal import Animal
from gambrel.catalog.bill import Bill
from gambrel.catalog.kinds import Kind
from gambrel.hang.loss import LossModel

INSPECTIONS = ("federal", "state", "custom")
"""Custom: killed for its owner, never sold [9 CFR 303.1(a)(2), from memory]."""

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
HALVES = ("left", "right")


@dataclass(frozen=True, slots=True)
class Pin:
    """What is already settled for an animal: its cutting day, the way of some pieces, or both."""

    day: date | None = None
    ways: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Hanging:
    """An animal on the rail: its carcass, the sides that hang, and what may be done with them.

    `style_name` asks for a named style of the tree; the plan puts its ways into `style`. A custom animal without
    one is broken boneless.
    """

    id: str
    animal: Animal
    killed: date
    side_hot_kg: Mapping[str, float]
    inspected: str = "federal"
    owner: str | None = None
    bill: Bill | None = None
    hang_days: tuple[int, int, int] | None = None
    ways_allowed: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    ways_forbidden: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    pin: Pin = Pin()
    style_name: str | None = None
    style: Mapping[str, str] = field(default_factory=dict)

    @property
    def kind(self) -> Kind:
        return self.animal.kind

    @property
    def is_sold(self) -> bool:
        return self.inspected != "custom"

    def loss(self, side_hot_kg: float) -> LossModel:
        """What a side of this hot weight is expected to lose on the rail."""
        return LossModel.prior(self.kind, fat_mm=self.animal.fat_mm, side_hot_kg=side_hot_kg)

    def side_id(self, half: str) -> str:
        """Name of one side, such as B1-left."""
        return f"{self.id}-{half}"


@dataclass(frozen=True, slots=True)
class Group:
    """The kinds of animal that a buyer takes for a product: one kind, all cattle, or a list."""

    name: str
    kinds: frozenset[str]


@dataclass(frozen=True, slots=True)
class Step:
    """A price step: up to so many kilograms in all a week (counted from the first step) at this price."""

    upto_kg: float
    price_cents_per_kg: float


@dataclass(frozen=True, slots=True)
class Demand:
    """What the counter takes of one product a week, in falling price steps.

    `salvage_cents_per_kg` is what any more of it brings, frozen or wholesale. `lean_pct` is set for a ground
    product, which is blended from trims to at least that lean.
    """

    slug: str
    group: Group
    steps: tuple[Step, ...]
    shelf_days: int
    salvage_cents_per_kg: float = 0.0
    lean_pct: float | None = None

    @property
    def is_ground(self) -> bool:
        return self.lean_pct is not None

    @property
    def name(self) -> str:
        return f"{self.slug} ({self.group.name})"


@dataclass(frozen=True, slots=True)
class Order:
    """A promise: so much of a cut, handed over on the day `by`; one that is not `must` may be left unmet."""

    id: str
    slug: str
    group: Group
    weight_kg: float
    by: date
    price_cents_per_kg: float
    must: bool = True
    shelf_days: int = 5
    out_of_state: bool = False


@dataclass(frozen=True, slots=True)
class Margin:
    """What prices must earn; read here, used by the price step."""

    target_pct: float = 30.0
    packing_cents_per_kg: float = 0.0
    overhead_cents_per_head: int = 0
    ending_cents: int = 99
    may_lose_pct: float = 20.0


@dataclass(frozen=True, slots=True)
class Grinding:
    """Work of grinding and packing trim, minutes per 100 kg by kind of work."""

    minutes_per_100kg: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop and what it can do; None for hours, rail or wages means no limit and no charge."""

    name: str
    start: date
    days: int
    cutting_days: tuple[str, ...]
    rail_mm: float | None
    rail_per_side_mm: float
    srm_policy_bison: str
    minutes_a_day: Mapping[str, float]
    wage_cents_per_hour: float
    margin: Margin
    grinding: Grinding
    trim: str = "close"
    waste_cents_per_kg: float = 0.0
    hanging_on_cents_per_kg: float = 0.0

    @property
    def end(self) -> date:
        """The last day of the plan."""
        return self.start + timedelta(days=self.days - 1)

    def calendar(self) -> tuple[date, ...]:
        return tuple(self.start + timedelta(days=number) for number in range(self.days))

    def is_cutting_day(self, day: date) -> bool:
        return WEEKDAYS[day.weekday()] in self.cutting_days

    def week_of(self, day: date) -> int:
        """Number of the seven-day week of the plan that `day` lies in, from 1."""
        return (day - self.start).days // 7 + 1

    def weeks(self) -> tuple[int, ...]:
        return tuple(range(1, math.ceil(self.days / 7) + 1))

    def week_share(self, week: int) -> float:
        """How much of seven days week number `week` has; below 1 only for a last week cut short."""
        return min(7, self.days - 7 * (week - 1)) / 7


@dataclass(frozen=True, slots=True)
class Week:
    """All that the plan starts from."""

    shop: Shop
    animals: tuple[Hanging, ...]
    demands: tuple[Demand, ...]
    orders: tuple[Order, ...]
    kinds: Mapping[str, Kind]
