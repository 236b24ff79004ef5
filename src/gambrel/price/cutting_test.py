"""The cutting test (butcher's or yield test): what a usable pound costs after trim and loss.

Rules as printed in two kitchen-costing texts whose worked examples are the tests: as-purchased cost less the
market value of the by-parts is the usable cost; the cutting loss carries weight but no value.
"""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures import Entry
from gambrel.measures.money import round_half_up, value_cents
from gambrel.measures.units import MASS

USABLE = "usable cost"
AS_PURCHASED = "as-purchased cost"
"""The two costs a cooking sheet may divide by the cooked weight. Sheets differ, so it is always named."""


@dataclass(frozen=True, slots=True)
class ByPart:
    """Fat, bone or trim that comes off, at its market price; a negative price is what its removal costs."""

    name: str
    kg: float
    price_cents_per_kg: float

    @property
    def value_cents(self) -> int:
        return value_cents(self.kg, self.price_cents_per_kg)


@dataclass(frozen=True, slots=True)
class CuttingTest:
    """One piece as it was bought, what came off it, and what was lost on the block."""

    name: str
    bought_kg: float
    price_cents_per_kg: float
    by_parts: tuple[ByPart, ...] = ()
    loss_kg: float = 0.0

    @property
    def bought_cents(self) -> int:
        """As-purchased cost."""
        return value_cents(self.bought_kg, self.price_cents_per_kg)

    @property
    def by_part_kg(self) -> float:
        return sum(part.kg for part in self.by_parts)

    @property
    def by_part_cents(self) -> int:
        return sum(part.value_cents for part in self.by_parts)

    @property
    def usable_kg(self) -> float:
        return self.bought_kg - self.by_part_kg - self.loss_kg

    @property
    def usable_cents(self) -> int:
        return self.bought_cents - self.by_part_cents

    @property
    def usable_share(self) -> float:
        return self.usable_kg / self.bought_kg

    @property
    def cost_cents_per_usable_kg(self) -> float:
        return self.usable_cents / self.usable_kg

    @property
    def cost_factor(self) -> float:
        """Cost per usable weight over the price paid per weight [-]."""
        return self.cost_cents_per_usable_kg / self.price_cents_per_kg

    def portion_cents(self, *, portion_kg: float) -> int:
        """What one portion costs, to the cent."""
        return round_half_up(round(portion_kg * self.cost_cents_per_usable_kg, 6))

    def new_cost_cents_per_usable_kg(self, *, price_cents_per_kg: float) -> float:
        """Cost per usable kg at another price paid, as long as the yields hold."""
        return self.cost_factor * price_cents_per_kg

    def cooked(self, *, cooked_kg: float, base: str) -> Cooked:
        """The cooking sheet on this piece; `base` is `USABLE` or `AS_PURCHASED` and stays with the answer."""
        if base not in (USABLE, AS_PURCHASED):
            raise ValueError(f"the base is {USABLE!r} or {AS_PURCHASED!r}")
        cost_cents = self.usable_cents if base == USABLE else self.bought_cents
        return Cooked(
            base, cooked_kg, cost_cents / cooked_kg, cost_cents / cooked_kg / self.price_cents_per_kg
        )


@dataclass(frozen=True, slots=True)
class Cooked:
    """Cost per cooked kg and its factor on the price paid, and which cost was divided."""

    base: str
    cooked_kg: float
    cost_cents_per_cooked_kg: float
    cost_factor: float


@dataclass(frozen=True, slots=True)
class CuttingSheet:
    """A cutting test with the questions asked of it."""

    test: CuttingTest
    portion_kg: float | None = None
    new_price_cents_per_kg: float | None = None
    cooked_kg: float | None = None
    cooked_base: str = USABLE

    def cooked(self) -> Cooked | None:
        """The cooking sheet, when a cooked weight was given."""
        if self.cooked_kg is None:
            return None
        return self.test.cooked(cooked_kg=self.cooked_kg, base=self.cooked_base)

    def as_json(self) -> dict[str, object]:
        test, cooked = self.test, self.cooked()
        answer: dict[str, object] = {
            "name": test.name,
            "bought_kg": test.bought_kg,
            "bought_cents": test.bought_cents,
            "by_part_kg": test.by_part_kg,
            "by_part_cents": test.by_part_cents,
            "loss_kg": test.loss_kg,
            "usable_kg": test.usable_kg,
            "usable_share": test.usable_share,
            "usable_cents": test.usable_cents,
            "cost_cents_per_usable_kg": test.cost_cents_per_usable_kg,
            "cost_factor": test.cost_factor,
        }
        if self.portion_kg is not None:
            answer |= {
                "portion_kg": self.portion_kg,
                "portion_cents": test.portion_cents(portion_kg=self.portion_kg),
            }
        if self.new_price_cents_per_kg is not None:
            answer["new_cost_cents_per_usable_kg"] = test.new_cost_cents_per_usable_kg(
                price_cents_per_kg=self.new_price_cents_per_kg
            )
        if cooked is not None:
            answer |= {
                "cooked_base": cooked.base,
                "cost_cents_per_cooked_kg": cooked.cost_cents_per_cooked_kg,
                "cooked_cost_factor": cooked.cost_factor,
            }
        return answer


def read_cutting_test(entry: Entry) -> CuttingSheet | None:
    """A [[cutting_test]] table; None with findings when something in it is wrong."""
    before = len(entry.findings)
    name = entry.text("name", required=True)
    bought_kg = entry.quantity("bought", MASS, low=0.001, high=2000.0, required=True)
    price = entry.price_cents_per_kg("price", low=0.01, required=True)
    loss_kg = entry.quantity("loss", MASS, low=0.0) or 0.0
    portion_kg = entry.quantity("portion", MASS, low=0.001, high=50.0)
    new_price = entry.price_cents_per_kg("new_price", low=0.01)
    cooked_kg = entry.quantity("cooked", MASS, low=0.001, high=2000.0)
    base = entry.word("cooked_base", (USABLE.replace(" ", "-"), AS_PURCHASED.replace(" ", "-")))
    parts = [part for part in map(_read_by_part, entry.tables("by_part")) if part is not None]
    entry.no_more()
    if bought_kg is not None and loss_kg + sum(part.kg for part in parts) >= bought_kg - 1e-9:
        entry.wrong(
            "by_part",
            "parts and loss that leave nothing usable",
            "less than what was bought",
            "Check whether the scale was set to another unit.",
        )
    if len(entry.findings) > before or name is None or bought_kg is None or price is None:
        return None
    cooked_base = AS_PURCHASED if base and base.startswith("as-") else USABLE
    return CuttingSheet(
        CuttingTest(name, bought_kg, price, tuple(parts), loss_kg),
        portion_kg,
        new_price,
        cooked_kg,
        cooked_base,
    )


def _read_by_part(entry: Entry) -> ByPart | None:
    name = entry.text("name", required=True)
    weight_kg = entry.quantity("weight", MASS, low=0.0, required=True)
    price = entry.price_cents_per_kg("price", low=None, required=True)
    entry.no_more()
    if name is None or weight_kg is None or price is None:
        return None
    return ByPart(name, weight_kg, price)
