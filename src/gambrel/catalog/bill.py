"""What was paid for an animal: by live weight, on the rail, by the head, or what raising it cost."""

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


@dataclass(frozen=True, slots=True)
class Bill:
    """How the animal was paid for, what it came to, and the kill fee where it is kept with the animal."""

    basis: str
    paid_cents: int
    live_kg: float | None = None
    kill_fee_cents: int = 0

    @property
    def total_cents(self) -> int:
        """Paid for the animal and for the kill."""
        return self.paid_cents + self.kill_fee_cents

    def dressing_share(self, hot_kg: float) -> float | None:
        """Hot over live weight, when the live weight is known."""
        return None if self.live_kg is None else hot_kg / self.live_kg


def read_bill(entry: Entry, *, hot_kg: float | None, kill_fee_cents: int = 0) -> Bill | None:
    """A bill with exactly one of live (and live_weight), rail, head, raised; None with findings otherwise.

    `hot_kg` is the whole carcass; None where it is itself a finding.
    """
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
        _check_dressing(entry, hot_kg / live_kg)
    if len(entry.findings) > before:
        return None
    if live is not None and live_kg is not None:
        return Bill("live", value_cents(live_kg, live), live_kg, kill_fee_cents)
    if rail is not None and hot_kg is not None:
        return Bill("rail", value_cents(hot_kg, rail), live_kg, kill_fee_cents)
    if head is not None or raised is not None:
        return Bill(given[0], head if head is not None else raised or 0, live_kg, kill_fee_cents)
    return None  # paid by the rail with a hot weight that is itself a finding


def _check_dressing(entry: Entry, dressing_share: float) -> None:
    if not DRESSING_LIMITS[0] <= dressing_share <= DRESSING_LIMITS[1]:
        entry.wrong(
            "live_weight",
            f"a live weight that dresses {dressing_share:.1%}",
            "a dressing share of 30 to 80 %",
            "Check both weights and their units.",
        )
