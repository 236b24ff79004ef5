"""The fees on top of the bill, and the chain from the live price to the counter."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures import Entry
from gambrel.measures.money import value_cents

HEAD_FEES = ("kill", "trucking", "inspection", "disposal", "other")
CHARGED_ON = ("hot", "hung")


@dataclass(frozen=True, slots=True)
class Fees:
    """Fees a head, and a cut-and-wrap fee by weight charged on the hot or the hung carcass."""

    head_cents: int = 0
    cut_wrap_cents_per_kg: float = 0.0
    charged_on: str = "hot"

    def total_cents(self, *, hot_kg: float, hung_kg: float) -> int:
        charged_kg = hot_kg if self.charged_on == "hot" else hung_kg
        return self.head_cents + value_cents(charged_kg, self.cut_wrap_cents_per_kg)

    def cut_wrap_cents_per_hot_kg(self, *, loss_share: float) -> float:
        """The fee by weight, put on the hot weight."""
        return self.cut_wrap_cents_per_kg * (1.0 if self.charged_on == "hot" else 1.0 - loss_share)


def read_fees(entry: Entry) -> Fees:
    """[fees]: amounts a head, and cut_wrap by weight with charged_on = "hot" (usual) or "hung"."""
    heads = [entry.money_cents(name) or 0 for name in HEAD_FEES]
    by_weight = entry.price_cents_per_kg("cut_wrap") or 0.0
    charged_on = entry.word("charged_on", CHARGED_ON) or "hot"
    entry.no_more()
    return Fees(sum(heads), by_weight, charged_on)


@dataclass(frozen=True, slots=True)
class LiveChain:
    """From a live price to what take-home meat must sell for [Pricing your meat cuts, Penn State, 2011].

    live / dressing, plus fees by hanging weight, over the take-home share, over 1 less the margin. All prices
    in cents per kg (a price per lb works too, as long as every one is).
    """

    live_cents_per_kg: float
    dressing_share: float
    fees_cents_per_hot_kg: float
    take_home_share: float
    margin_share: float

    @property
    def hot_cents_per_kg(self) -> float:
        return self.live_cents_per_kg / self.dressing_share

    @property
    def hung_with_fees_cents_per_kg(self) -> float:
        return self.hot_cents_per_kg + self.fees_cents_per_hot_kg

    @property
    def take_home_cents_per_kg(self) -> float:
        return self.hung_with_fees_cents_per_kg / self.take_home_share

    @property
    def retail_cents_per_kg(self) -> float:
        return self.take_home_cents_per_kg / (1.0 - self.margin_share)
