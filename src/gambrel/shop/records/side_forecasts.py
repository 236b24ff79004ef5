"""The forecast that a side went to the block with: made from what was known then, kept, and made again.

A stored forecast names the edition of yields it came from and holds all else it was made from, so that `made_again`
gives it to the last digit whatever has been learned since.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from gambrel.breakdown import Forecast, forecast_side
from gambrel.breakdown.balance import group_of
from gambrel.breakdown.composition import Floats
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Estimate
from gambrel.shop.records.models import SideForecast
from gambrel.shop.records.shop_yields import Taught, models_of, taught_by
from gambrel.shop.records.stored import restored

PLACES = (0.01, 0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95, 0.99)
"""Shares of the draws below the figures that are kept; the intervals of 50, 80 and 90 % among them."""

TOGETHER = {"bone": "mixed-soup-bones", "fat": "trim-fat"}
"""The piece that all of a group may be weighed as, in one tub."""


@dataclass(frozen=True)
class ForecastAsked:
    """All that a forecast is made from but the yields. `prices` are what a kilogram of each cut brings [cents]."""

    animal: Animal
    ways: Mapping[str, str]
    trim: str
    hung_kg: float
    supplier: str
    cutter: str
    prices: Mapping[str, float]
    draws: int
    seed: int


@dataclass(frozen=True, slots=True)
class Figure:
    """A forecast figure: its mean, and what so many of the draws (`PLACES`) lie below, in its own unit."""

    mean: float
    at_places: tuple[float, ...]

    @classmethod
    def of(cls, draws: Floats) -> Figure:
        return cls(float(np.mean(draws)), tuple(float(one) for one in np.quantile(draws, PLACES)))

    @property
    def estimate(self) -> Estimate:
        """The mean with its 90 % interval."""
        return Estimate(self.mean, self.at_places[PLACES.index(0.05)], self.at_places[PLACES.index(0.95)])

    def place_share(self, value: float) -> float:
        """Share of the draws below `value`: straight lines between the kept figures, 0 or 1 beyond them."""
        return float(np.interp(value, self.at_places, PLACES, left=0.0, right=1.0))


@dataclass(frozen=True, slots=True)
class Told:
    """What a forecast said [kg]: every piece by slug, all bones and all fat by group, the loss; `cents` it brings."""

    pieces: Mapping[str, Figure]
    together: Mapping[str, Figure]
    loss: Figure
    cents: Figure


def forecast_told(asked: ForecastAsked, known: Taught) -> Told:
    """The forecast by the yields that were known."""
    forecast = drawn(asked, known)
    kg = forecast.kg
    # In the order of their names: a database may give the prices back in another, and sums of floats mind it.
    priced = [kg[slug] * price for slug, price in sorted(asked.prices.items()) if slug in kg]
    brings = sum(priced, np.zeros(asked.draws))
    return Told(
        pieces={slug: Figure.of(one) for slug, one in kg.items()},
        together={name: Figure.of(one) for name, one in together_kg(kg).items()},
        loss=Figure.of(forecast.loss_kg),
        cents=Figure.of(np.asarray(brings)),
    )


def drawn(asked: ForecastAsked, known: Taught) -> Forecast:
    """The draws behind a forecast."""
    models = models_of(known, asked.animal, supplier=asked.supplier, cutter=asked.cutter)
    return forecast_side(
        asked.animal, asked.ways, tree=shipped_tree().trimmed(asked.trim), cuts=shipped_cuts(),
        hung_kg=np.full(asked.draws, asked.hung_kg), seed=asked.seed, learned=models,
    )  # fmt: skip


def together_kg(kg: Mapping[str, Floats]) -> dict[str, Floats]:
    """All bones, and all fat, of a side."""
    cuts = shipped_cuts()
    of_group = {name: [one for slug, one in kg.items() if group_of(cuts[slug]) == name] for name in TOGETHER}
    return {name: np.sum(members, axis=0) for name, members in of_group.items() if members}


def made_again(line: SideForecast) -> Told:
    """A stored forecast made anew from its edition."""
    asked = restored(ForecastAsked, line.asked)
    return forecast_told(asked, taught_by(line.lesson_id, asked.trim))


def told_of(line: SideForecast) -> Told:
    """A stored forecast as it was told."""
    told: dict[str, Any] = line.told
    return Told(
        pieces={slug: figure_of(one) for slug, one in told["pieces"].items()},
        together={name: figure_of(one) for name, one in told["together"].items()},
        loss=figure_of(told["loss"]),
        cents=figure_of(told["cents"]),
    )


def figure_of(told: Mapping[str, Any]) -> Figure:
    """A figure as it was kept."""
    return Figure(told["mean"], tuple(told["at_places"]))
