"""Animals all of whose sides were cut and weighed: what was forecast of them, what they brought, and their figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count

from gambrel.catalog.cuts import shipped_cuts
from gambrel.learn.profit_truth import AnimalProfit
from gambrel.learn.score_figures import AnimalFigures
from gambrel.measures import Estimate
from gambrel.shop.records.brought import Brought, brought_by
from gambrel.shop.records.models import Bill, ShopProfile, Side
from gambrel.shop.records.side_forecasts import PLACES, Figure
from gambrel.shop.records.sides_learned import SideLearned

MOST_ANIMALS = 60
"""So many of the newest animals are looked at; the packs of each have to be summed."""

SOLD_SHARE = 0.9
"""Of what was packed so much must be gone before an animal's money is judged: what lies longest may yet be marked down.
Common practice."""

_LOW, _HIGH = PLACES.index(0.05), PLACES.index(0.95)


@dataclass(frozen=True)
class AnimalLearned:
    """One animal, its sides and what each has brought, and what it cost (None: no bill, or it belongs to its owner)."""

    sides: tuple[SideLearned, ...]
    brought: tuple[Brought, ...]
    cost_cents: float | None

    @property
    def first(self) -> SideLearned:
        return self.sides[0]

    @property
    def is_sold(self) -> bool:
        """So much of what was packed is gone that what it brought may be judged."""
        packed_kg = sum(sum(one.packed_kg.values()) for one in self.brought)
        shelf_kg = sum(sum(one.shelf_kg.values()) for one in self.brought)
        return packed_kg > 0.0 and shelf_kg <= (1.0 - SOLD_SHARE) * packed_kg

    @property
    def profit(self) -> AnimalProfit | None:
        """Forecast beside what came, of the cuts that had a price then; None before it is sold, or without a bill."""
        told = [side.told.cents for side in self.sides if side.told is not None]
        if self.cost_cents is None or not self.is_sold or len(told) < len(self.sides):
            return None
        came = sum(one.cents(side.prices) + trim_cents(side, one) for side, one in self._each())
        first = self.first
        return AnimalProfit(
            first.tag, first.kind, first.day, _together(told, self.cost_cents), came - self.cost_cents
        )

    @property
    def figures(self) -> AnimalFigures:
        """What a scorecard compares. Meat is a share of what was weighed: a wet pan makes every line heavier. The grade
        is the marbling score that the shop read."""
        first, begun_kg = self.first, sum(side.begun_kg for side in self.sides)
        weighed_kg = sum(sum(side.weighed_kg.values()) for side in self.sides)
        profit = None
        if self.cost_cents is not None and self.is_sold:
            profit = sum(one.cents() + trim_cents(side, one) for side, one in self._each()) - self.cost_cents
        return AnimalFigures(
            animal=first.tag, supplier=first.supplier, kind=first.kind, hung_kg=begun_kg,
            meat_share=sum(side.meat_kg for side in self.sides) / weighed_kg,
            fat_mm=first.face["fat_mm"], grade=first.face["marbling_score"], profit_cents=profit,
            rail_days=sum(side.hung_days for side in self.sides) / len(self.sides),
        )  # fmt: skip

    def _each(self) -> Iterator[tuple[SideLearned, Brought]]:
        return zip(self.sides, self.brought, strict=True)


def trim_cents(side: SideLearned, brought: Brought) -> float:
    """Trim of a side that went to the grinder and not into packs, at the list price of the ground meat it makes."""
    cuts = shipped_cuts()
    left_kg = {slug: max(0.0, kg - brought.packed_kg.get(slug, 0.0)) for slug, kg in side.weighed_kg.items()
               if cuts[slug].lean_pct is not None}  # fmt: skip
    return sum(kg * side.prices.get(slug, 0.0) for slug, kg in left_kg.items())


def animals_learned(shop: ShopProfile, sides: Sequence[SideLearned]) -> tuple[AnimalLearned, ...]:
    """The newest animals of `sides`, all of each there, oldest first. Five queries."""
    by_animal: dict[int, list[SideLearned]] = {}
    for side in reversed(sides):
        by_animal.setdefault(side.animal_id, []).append(side)
    keys = list(by_animal)[:MOST_ANIMALS]
    count = dict(Side.objects.filter(animal__in=keys).values_list("animal").annotate(Count("pk")))
    bills = Bill.objects.filter(animal__in=keys, animal__owner_name="")
    costs = {bill.animal_id: float(bill.paid_cents + bill.kill_fee_cents + shop.overhead_cents_per_head)
             for bill in bills}  # fmt: skip
    whole = [key for key in reversed(keys) if count[key] == len(by_animal[key])]
    brought = brought_by(side.cutting_id for key in whole for side in by_animal[key])
    return tuple(
        AnimalLearned(
            tuple(by_animal[key]), tuple(brought[side.cutting_id] for side in by_animal[key]), costs.get(key)
        )
        for key in whole
    )


def _together(told: Sequence[Figure], cost_cents: float) -> Estimate:
    """Both sides of an animal are of one carcass and share its luck, so that their intervals add up."""
    return Estimate(
        sum(one.mean for one in told) - cost_cents,
        sum(one.at_places[_LOW] for one in told) - cost_cents,
        sum(one.at_places[_HIGH] for one in told) - cost_cents,
    )
