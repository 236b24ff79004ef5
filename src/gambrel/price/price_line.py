"""A cut to be priced and how its price must stand to another's."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures.money import value_cents
from gambrel.measures.units import KG_PER_LB

SOLD_BY = {"lb": KG_PER_LB, "kg": 1.0}
"""Kilograms in the unit that the shop prices by."""


@dataclass(frozen=True, slots=True)
class Relation:
    """`above` sells for at least `ratio` times `below`, by weight."""

    above: str
    below: str
    ratio: float

    @property
    def sentence(self) -> str:
        return f"{self.above} sells for at least {self.ratio:g} times {self.below}"


@dataclass(frozen=True, slots=True)
class PriceLine:
    """A cut to be priced: how much of it there is, today's price, and what the new one may be.

    `endings` are the cents a price may end in; empty for any.
    """

    slug: str
    kg: float
    today_cents_per_kg: float
    floor_cents_per_kg: float | None = None
    ceiling_cents_per_kg: float | None = None
    endings: tuple[int, ...] = (99,)


@dataclass(frozen=True, slots=True)
class UnitLine:
    """The same cut counted in sale units (lb or kg), prices in cents a unit."""

    slug: str
    kg: float
    kg_per_unit: float
    today_cents: float
    low_cents: float
    high_cents: float | None
    endings: tuple[int, ...]

    @classmethod
    def of(cls, line: PriceLine, kg_per_unit: float) -> UnitLine:
        def per_unit(price_cents_per_kg: float) -> float:
            return round(
                price_cents_per_kg * kg_per_unit, 6
            )  # 12.99/lb comes back as 1299, not 1299.0000000002

        ceiling = line.ceiling_cents_per_kg
        return cls(
            slug=line.slug,
            kg=line.kg,
            kg_per_unit=kg_per_unit,
            today_cents=per_unit(line.today_cents_per_kg),
            low_cents=max(1.0, per_unit(line.floor_cents_per_kg or 0.0)),
            high_cents=None if ceiling is None else per_unit(ceiling),
            endings=line.endings,
        )

    @property
    def units(self) -> float:
        return self.kg / self.kg_per_unit

    def sales_cents(self, price_cents: float) -> int:
        """What the whole weight brings at this price a unit."""
        return value_cents(self.kg, price_cents / self.kg_per_unit)
