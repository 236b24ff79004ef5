"""What the animal cost before a knife touched it: the bill, the fees, and the chain from live to retail."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.measures import Entry
from gambrel.measures.money import value_cents
from gambrel.measures.units import MASS

BASES = ("live", "rail", "head", "raised")
"""Paid by live weight, by hot weight on the rail, by the head, or raised at home at what it cost to raise."""

DRESSING_LIMITS = (0.30, 0.80)
"""Outside this a live and a hot weight do not belong together: some Jersey cows dress 35 % [Ontario Ministry
of Agriculture note 05-075, 2005], cattle normally 55 to 70 % [Beef Improvement Federation, 2019]."""

HEAD_FEES = ("kill", "trucking", "inspection", "disposal", "other")
CHARGED_ON = ("hot", "hung")


@dataclass(frozen=True, slots=True)
class Bill:
    """How the animal was paid for and what it came to."""

    basis: str
    paid_cents: int
    live_kg: float | None = None

    def dressing_share(self, hot_kg: float) -> float | None:
        """Hot over live weight, when the live weight is known."""
        return None if self.live_kg is None else hot_kg / self.live_kg


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


def read_bill(entry: Entry, *, hot_kg: float | None) -> Bill | None:
    """[bill] with exactly one of live (and live_weight), rail, head, raised; None with findings otherwise."""
    before = len(entry.findings)
    given = [basis for basis in BASES if entry.has(basis)]
    if len(given) != 1:
        entry.wrong(
            "basis",
            ", ".join(given) or "nothing",
            "exactly one of " + ", ".join(BASES),
            'Keep the one you paid by, like live = "1.35/lb".',
        )
    live = entry.price_cents_per_kg("live")
    live_kg = entry.quantity("live_weight", MASS, low=60.0, high=1800.0, required="live" in given)
    rail = entry.price_cents_per_kg("rail")
    head, raised = entry.money_cents("head"), entry.money_cents("raised")
    entry.no_more()
    if live_kg is not None and hot_kg is not None:
        dressing = hot_kg / live_kg
        if not DRESSING_LIMITS[0] <= dressing <= DRESSING_LIMITS[1]:
            entry.wrong(
                "live_weight",
                f"a live weight that dresses {dressing:.1%}",
                "a dressing share of 30 to 80 %",
                "Check both weights and their units.",
            )
    if len(entry.findings) > before:
        return None
    if live is not None and live_kg is not None:
        return Bill("live", value_cents(live_kg, live), live_kg)
    if rail is not None and hot_kg is not None:
        return Bill("rail", value_cents(hot_kg, rail), live_kg)
    if head is not None or raised is not None:
        return Bill(given[0], head if head is not None else raised or 0, live_kg)
    return None  # paid by the rail with a hot weight that is itself a finding


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
