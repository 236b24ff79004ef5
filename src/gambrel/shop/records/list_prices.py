"""What the counter asks today for each cut of a kind: the newest price list, or the first step of what sells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from gambrel.shop.records.models import Demand, Price, PriceList


@dataclass(frozen=True, slots=True)
class ListPrices:
    """Slug to price [cents/kg]; `ground` are lean point [%] and price of ground products, leanest first."""

    cuts: Mapping[str, float] = field(default_factory=dict)
    ground: tuple[tuple[float, float], ...] = ()

    def of_trims(self, lean_pct: float) -> float | None:
        """Price of the leanest ground product that trims of this lean point make, or of the fattest there is."""
        made = [price for lean, price in self.ground if lean <= lean_pct]
        if made:
            return made[0]
        return self.ground[-1][1] if self.ground else None


def list_prices(kind: str) -> ListPrices:
    """The prices of one kind. Where two groups take it, the dearer one counts. Three queries at most."""
    newest = PriceList.objects.order_by("-at", "-pk").first()
    listed: dict[tuple[str, str], float] = {}
    if newest is not None:
        rows = Price.objects.filter(price_list=newest)
        listed = {(row.slug, row.group): row.price_cents_per_kg for row in rows}
    cuts: dict[str, float] = {}
    ground: dict[float, float] = {}
    for demand in Demand.objects.all():
        if kind not in demand.kinds or not demand.steps:
            continue
        price = listed.get((demand.slug, demand.group), float(demand.steps[0]["price_cents_per_kg"]))
        if demand.lean_pct is None:
            cuts[demand.slug] = max(price, cuts.get(demand.slug, 0.0))
        else:
            ground[demand.lean_pct] = max(price, ground.get(demand.lean_pct, 0.0))
    return ListPrices(cuts, tuple(sorted(ground.items(), reverse=True)))
