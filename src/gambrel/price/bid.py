"""The most that may be paid for an animal to earn the margin with a stated probability.

Every draw is one animal that might come: what its hung meat sells for, what it loses on the rail, how it
dresses, what it weighs. For each the most that may be paid is worked back from the counter: sales less margin
less fees. The bid at 90 chances in 100 is the price that 90 of 100 such animals could bear.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

ON = ("live", "rail")
CURVE = (0.50, 0.60, 0.70, 0.75, 0.80, 0.85, 0.90, 0.95, 0.99)
"""Probabilities at which the bid is listed."""

Draws = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Bid:
    """What each drawn animal could bear, in cents per kg live and on the rail.

    `*_limit`: the most that leaves the margin; `*_even`: the most that loses nothing. One entry a draw.
    """

    margin_share: float
    rail_limit_cents_per_kg: Draws
    rail_even_cents_per_kg: Draws
    live_limit_cents_per_kg: Draws
    live_even_cents_per_kg: Draws

    def at_probability(self, probability: float, *, on: str) -> float:
        """The highest price [cents per kg] that earns the margin in at least this share of the draws.

        Below 0 when nothing may be paid. `ValueError` outside 0 to 1.
        """
        if not 0.0 <= probability <= 1.0:
            raise ValueError("a probability lies from 0 to 1")
        rising = np.sort(self._limit(on))
        # Of n draws, n - k bear the k-th smallest; the largest k that leaves probability * n of them.
        k = int(np.floor(len(rising) * (1.0 - probability) + 1e-9))
        return float(rising[min(k, len(rising) - 1)])

    def chance_of_losing(self, offer_cents_per_kg: float, *, on: str) -> float:
        """Share of the draws in which this offer brings in less than it costs."""
        even = self.live_even_cents_per_kg if on == "live" else self.rail_even_cents_per_kg
        return float(np.mean(even < offer_cents_per_kg))

    def chance_of_missing_margin(self, offer_cents_per_kg: float, *, on: str) -> float:
        """Share of the draws in which this offer leaves less than the margin."""
        return float(np.mean(self._limit(on) < offer_cents_per_kg))

    def curve(self, probabilities: Sequence[float] = CURVE) -> list[tuple[float, float, float]]:
        """(probability, live, rail) for each probability, prices in cents per kg."""
        return [
            (p, self.at_probability(p, on="live"), self.at_probability(p, on="rail")) for p in probabilities
        ]

    def _limit(self, on: str) -> Draws:
        if on not in ON:
            raise ValueError("a bid is live or on the rail")
        return self.live_limit_cents_per_kg if on == "live" else self.rail_limit_cents_per_kg


def bid_from_draws(
    *,
    value_cents_per_hung_kg: ArrayLike,
    hanging_loss_share: ArrayLike,
    dressing_share: ArrayLike,
    hot_kg: ArrayLike,
    fees_cents_per_head: float,
    fees_cents_per_hot_kg: float,
    margin_share: float,
) -> Bid:
    """The bid from draws of one animal each.

    `value_cents_per_hung_kg`: what all the cuts of an animal sell for, over its hung weight;
    `hanging_loss_share` from hot to hung (0 where the value is already per hot kg); `dressing_share` hot over
    live; `hot_kg` spreads the fees by the head. All of one length, or single figures. By-product credits are
    negative fees. `ValueError` for shapes that do not match and figures that cannot be.
    """
    given = (value_cents_per_hung_kg, hanging_loss_share, dressing_share, hot_kg)
    value, loss, dressing, hot = (np.atleast_1d(np.asarray(draws, dtype=np.float64)) for draws in given)
    value, loss, dressing, hot = np.broadcast_arrays(value, loss, dressing, hot)
    if (
        value.ndim != 1
        or value.size == 0
        or not all(np.isfinite(draws).all() for draws in (value, loss, dressing, hot))
    ):
        raise ValueError("draws are vectors of finite figures")
    if (
        (loss < 0).any()
        or (loss >= 1).any()
        or (dressing <= 0).any()
        or (dressing > 1).any()
        or (hot <= 0).any()
    ):
        raise ValueError("losses lie from 0 to below 1, dressing shares above 0 to 1, weights above 0")
    if not 0 <= margin_share < 1:
        raise ValueError("a margin lies from 0 to just below 1")
    sales = value * (1.0 - loss)
    fees = fees_cents_per_hot_kg + fees_cents_per_head / hot
    limit, even = sales * (1.0 - margin_share) - fees, sales - fees
    return Bid(margin_share, limit, even, limit * dressing, even * dressing)


@dataclass(frozen=True, slots=True)
class BidSpread:
    """A simple statement of what is not known about the next animal: mean and standard deviation of each."""

    value_cents_per_hung_kg: tuple[float, float]
    hanging_loss_share: tuple[float, float]
    dressing_share: tuple[float, float]
    hot_kg: tuple[float, float]


@dataclass(frozen=True, eq=False)
class SpreadDraws:
    """Draws of a spread, one animal an entry; the names are those of `bid_from_draws`."""

    value_cents_per_hung_kg: Draws
    hanging_loss_share: Draws
    dressing_share: Draws
    hot_kg: Draws


def draws_from_spread(spread: BidSpread, *, draws: int, seed: int) -> SpreadDraws:
    """Independent normal draws, each held within what can be: no value below 0, no carcass without weight."""
    generator = np.random.default_rng(seed)

    def normal(mean_sd: tuple[float, float], low: float, high: float) -> Draws:
        return np.clip(generator.normal(mean_sd[0], mean_sd[1], draws), low, high)

    return SpreadDraws(
        value_cents_per_hung_kg=normal(spread.value_cents_per_hung_kg, 0.0, np.inf),
        hanging_loss_share=normal(spread.hanging_loss_share, 0.0, 0.5),
        dressing_share=normal(spread.dressing_share, 0.3, 0.8),
        hot_kg=normal(spread.hot_kg, 0.25 * spread.hot_kg[0], np.inf),
    )
