"""One week's file as values: what hangs, what sells, what is promised, and what the shop can do in a day.

The whole job is done from this one file: grades, hanging, forecast, plan and prices all start here.
Weights in kilograms, money in cents, prices in cents per kilogram, times in minutes.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
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
class Share:
    """A part of an animal that its owner takes home, cut as wished: so many `sides` of it (0.25 to 2).

    `price_cents_per_kg` is by hot weight. `ways` (piece to way) go before the style. Cut `by` that day if any.
    """

    id: str
    animal: str
    sides: float
    owner: str
    style_name: str
    ways: Mapping[str, str] = field(default_factory=dict)
    by: date | None = None
    price_cents_per_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class OwnersSide:
    """A side that is in shares: whose, how much of it, what they pay once it is cut, how and by when it is.

    `style` are the ways of its named style and its own; the plan fills them in.
    """

    shares: tuple[str, ...]
    owner: str
    part_share: float
    cents: int
    style_name: str
    ways: Mapping[str, str]
    by: date | None
    style: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Hanging:
    """An animal on the rail: its carcass, the sides that hang, and what may be done with them.

    `style_name` asks for a named style of the tree; the plan puts its ways into `style`. A custom animal without
    one is broken boneless. `arrives` is the day it comes to the shop's rail, where that is not the day of the kill.
    `owned` are its sides that are in shares; `share` is set where the animal stands for such a side alone
    (`of_side`). `learned` is what weighings of its sides have taught about their loss, where there are any.
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
    learned: LossModel | None = None
    arrives: date | None = None
    owned: Mapping[str, OwnersSide] = field(default_factory=dict)
    share: OwnersSide | None = None

    @property
    def on_rail_from(self) -> date:
        """The first day its sides take up rail, and may be cut."""
        return self.arrives or self.killed

    @property
    def kind(self) -> Kind:
        return self.animal.kind

    @property
    def is_sold(self) -> bool:
        return self.inspected != "custom" and self.share is None

    def of_side(self, half: str) -> Hanging:
        """The animal as that side of it is cut: by its owners' wishes, and not sold, where it is in shares."""
        share = self.owned.get(half)
        return self if share is None else replace(self, share=share, owner=share.owner, style=share.style)

    def loss(self, side_hot_kg: float) -> LossModel:
        """What a side of this hot weight is expected to lose on the rail."""
        return self.learned or LossModel.prior(self.kind, fat_mm=self.animal.fat_mm, side_hot_kg=side_hot_kg)

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
    product, which is blended from trims to at least that lean. A `frozen` demand takes meat out of the freezer only;
    `kept_cents_per_kg` is what a kilogram still there after the plan is worth.
    """

    slug: str
    group: Group
    steps: tuple[Step, ...]
    shelf_days: int
    salvage_cents_per_kg: float = 0.0
    lean_pct: float | None = None
    frozen: bool = False
    kept_cents_per_kg: float = 0.0

    @property
    def is_ground(self) -> bool:
        return self.lean_pct is not None

    @property
    def who(self) -> str:
        """Whose meat it is, and that it is frozen where it is."""
        return f"{self.group.name}, frozen" if self.frozen else self.group.name

    @property
    def name(self) -> str:
        return f"{self.slug} ({self.who})"


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
class Stock:
    """Meat on hand when the plan starts: fresh, to be sold or frozen by `use_by`, or `frozen` already."""

    slug: str
    group: Group
    weight_kg: float
    use_by: date | None = None
    frozen: bool = False
    inspected: str = "federal"

    @property
    def name(self) -> str:
        state = "frozen" if self.frozen else f"use by {self.use_by}"
        return f"{self.slug} ({self.group.name}) on hand, {state}"

    def keeps_until(self, day: date) -> bool:
        return self.use_by is None or day <= self.use_by


@dataclass(frozen=True, slots=True)
class Freezer:
    """How much it holds at the end of a week (None: no limit), and what it costs to freeze a kilogram."""

    holds_kg: float | None = None
    cost_cents_per_kg: float = 0.0


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
class Overtime:
    """Work beyond the hours of a cutting day: so many minutes at most by kind of work, and what such an hour costs."""

    minutes_a_day: Mapping[str, float] = field(default_factory=dict)
    wage_cents_per_hour: float = 0.0


@dataclass(frozen=True, slots=True)
class Room:
    """How many can do a kind of work at once (blocks, saws, grinders, benches) while the room is open."""

    at_once: Mapping[str, int] = field(default_factory=dict)
    open_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Shop:
    """The shop and what it can do; None for hours, rail or wages means no limit and no charge.

    `minutes_on` are other minutes by kind of work on a weekday ("sat") or on one day ("2026-03-14"). On a day of
    `closed_on` nothing is cut, whatever weekday it is, nor in overtime.
    """

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
    minutes_on: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    overtime: Overtime = Overtime()
    room: Room = Room()
    freezer: Freezer = Freezer()
    closed_on: tuple[date, ...] = ()

    @property
    def end(self) -> date:
        """The last day of the plan."""
        return self.start + timedelta(days=self.days - 1)

    def calendar(self) -> tuple[date, ...]:
        return tuple(self.start + timedelta(days=number) for number in range(self.days))

    def is_cutting_day(self, day: date) -> bool:
        return WEEKDAYS[day.weekday()] in self.cutting_days and day not in self.closed_on

    def minutes_of(self, day: date) -> Mapping[str, float]:
        """Minutes by kind of work on a cutting day, overtime not among them; a kind that is missing has no limit."""
        weekday = self.minutes_on.get(WEEKDAYS[day.weekday()], {})
        return {**self.minutes_a_day, **weekday, **self.minutes_on.get(day.isoformat(), {})}

    @property
    def overtime_premium_cents_per_minute(self) -> float:
        """What a minute of overtime costs above the wage that every minute costs."""
        return max(0.0, self.overtime.wage_cents_per_hour - self.wage_cents_per_hour) / 60.0

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
    stock: tuple[Stock, ...] = ()
    shares: tuple[Share, ...] = ()
