"""Labour by minutes and wages, packing by packs and weight, and what shrink on the rail costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from gambrel.catalog.ways import WORK
from gambrel.measures import Entry
from gambrel.measures.money import round_half_up, value_cents
from gambrel.measures.units import DURATION

MINUTES_A_HOUR = 60.0


def labour_cents(minutes: Mapping[str, float], *, wages_cents_per_h: Mapping[str, int]) -> int:
    """Pay for minutes of knife, saw, grinder and packer, rounded to the cent once for each kind of work.

    A kind of work without a wage raises `KeyError`; `missing_wages` finds those in what a person entered.
    """
    return sum(
        round_half_up(round(worked * wages_cents_per_h[work] / MINUTES_A_HOUR, 6))
        for work, worked in minutes.items()
        if worked
    )


def missing_wages(minutes: Mapping[str, float], wages_cents_per_h: Mapping[str, int]) -> list[str]:
    """Kinds of work that are done here and have no wage."""
    return [work for work, worked in minutes.items() if worked and work not in wages_cents_per_h]


def read_work(entry: Entry) -> dict[str, float]:
    """Minutes by kind of work from a table such as `work = { knife = "25min", packer = "0.5h" }`."""
    minutes = {work: entry.quantity(work, DURATION, low=0.0, high=10_000.0) or 0.0 for work in WORK}
    entry.no_more()
    return {work: worked for work, worked in minutes.items() if worked}


def read_wages(entry: Entry) -> dict[str, int]:
    """Wages in cents an hour from [wages]."""
    wages = {work: entry.money_cents(work) for work in WORK}
    entry.no_more()
    return {work: cents for work, cents in wages.items() if cents is not None}


@dataclass(frozen=True, slots=True)
class Packing:
    """What packing material costs: so much a pack, and so much a weight."""

    pack_cents: int = 0
    cents_per_kg: float = 0.0

    def cost_cents(self, *, packs: int, weight_kg: float) -> int:
        return packs * self.pack_cents + value_cents(weight_kg, self.cents_per_kg)


def read_packing(entry: Entry) -> Packing:
    """[packing] with `pack` (money) and `weight` (price per weight)."""
    packing = Packing(entry.money_cents("pack") or 0, entry.price_cents_per_kg("weight") or 0.0)
    entry.no_more()
    return packing


@dataclass(frozen=True, slots=True)
class Shrink:
    """The same money over less weight: a carcass that cost `cost_cents` hot and hangs to `hung_kg`."""

    cost_cents: int
    hot_kg: float
    hung_kg: float

    @property
    def loss_share(self) -> float:
        return 1.0 - self.hung_kg / self.hot_kg

    @property
    def cents_per_hot_kg(self) -> float:
        return self.cost_cents / self.hot_kg

    @property
    def cents_per_hung_kg(self) -> float:
        return self.cost_cents / self.hung_kg

    @property
    def lost_cents(self) -> int:
        """What was paid for the weight that has gone."""
        return round_half_up(self.cost_cents * self.loss_share)
