"""What each of an owner's choices does to the weight taken home and to the bill, side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from gambrel.catalog.cuts import Cut
from gambrel.catalog.ways import Tree
from gambrel.measures import Estimate
from gambrel.sell.share_bill import (
    BillForecast,
    Extra,
    ShareSold,
    ShareWeights,
    Terms,
    bill_forecast,
    share_bill,
)
from gambrel.sell.take_home import OwnerWishes, ShareAsked, TakeHome, take_home

BILLS = 200
"""Draws that are billed, evenly taken from all: the bill follows the weights closely."""


@dataclass(frozen=True, slots=True)
class Choice:
    """One way to have a share: how it is cut, and the extras asked for."""

    wishes: OwnerWishes
    extras: tuple[Extra, ...] = ()


@dataclass(frozen=True, slots=True)
class ChoiceEffect:
    """A choice against the one that stands: weights in kg and money in cents, each with its 90 % interval."""

    name: str
    choice: Choice
    taken_kg: Estimate
    more_kg: Estimate
    charged_cents: Estimate
    more_cents: Estimate
    cents_per_taken_kg: Estimate


def share_forecast(
    asked: ShareAsked,
    choice: Choice,
    terms: Terms,
    sold: ShareSold,
    *,
    hot_kg: float,
    tree: Tree,
    cuts: Mapping[str, Cut],
) -> tuple[TakeHome, BillForecast]:
    """What is taken home and what it costs, before the animal is cut. `hot_kg` is the hot weight of the share."""
    home = take_home(asked, choice.wishes, tree=tree, cuts=cuts)
    return home, bill_forecast(
        _with(terms, choice), sold, likely_weights(home, hot_kg=hot_kg, sides=asked.sides)
    )


def choice_effects(
    asked: ShareAsked,
    now: Choice,
    others: Mapping[str, Choice],
    terms: Terms,
    sold: ShareSold,
    *,
    hot_kg: float,
    tree: Tree,
    cuts: Mapping[str, Cut],
) -> tuple[ChoiceEffect, ...]:
    """Every other choice against `now`, draw by draw."""
    stands = take_home(asked, now.wishes, tree=tree, cuts=cuts)
    before = _charged(_with(terms, now), sold, likely_weights(stands, hot_kg=hot_kg, sides=asked.sides))
    found = []
    for name, other in others.items():
        home = stands if other.wishes == now.wishes else take_home(asked, other.wishes, tree=tree, cuts=cuts)
        weights = likely_weights(home, hot_kg=hot_kg, sides=asked.sides)
        charged = _charged(_with(terms, other), sold, weights)
        by_kg = charged / np.array([one.taken_kg for one in weights])
        found.append(
            ChoiceEffect(
                name,
                other,
                Estimate.from_draws(home.taken_kg),
                Estimate.from_draws(home.taken_kg - stands.taken_kg),
                Estimate.from_draws(charged),
                Estimate.from_draws(charged - before),
                Estimate.from_draws(by_kg),
            )
        )
    return tuple(found)


def likely_weights(home: TakeHome, *, hot_kg: float, sides: float) -> tuple[ShareWeights, ...]:
    """Equally likely weights of a share, `BILLS` of them or as many as were drawn."""
    step = max(1, len(home.taken_kg) // BILLS)
    return tuple(
        ShareWeights(hot_kg, float(hung), float(taken), float(ground), sides)
        for hung, taken, ground in zip(
            home.hung_kg[::step], home.taken_kg[::step], home.ground_kg[::step], strict=True
        )
    )


def _with(terms: Terms, choice: Choice) -> Terms:
    return replace(terms, extras=(*terms.extras, *choice.extras))


def _charged(
    terms: Terms, sold: ShareSold, weights: Iterable[ShareWeights]
) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return np.array([share_bill(terms, sold, one).charged_cents for one in weights], dtype=float)
