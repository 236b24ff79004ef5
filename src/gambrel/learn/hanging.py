"""What this shop's coolers take from a hanging side, learned from its weighings by kind and cooler.

The belief is `hang.loss.LossModel`, updated in closed form. Sides weighed in one cooler share what the cooler does,
so a kind and cooler's own model is what later sides there begin with. A weighing that lies far from what the others
say counts for less, as under a Student t, and one that cannot be true of a side teaches nothing
(`hang.weighings.weighing_slips` finds those).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gambrel.catalog.kinds import Kind
from gambrel.hang.loss import LossModel, Matrix, Vector
from gambrel.hang.weighings import Weighing, weighing_slips

WEIGHING_DF = 4.0
"""Degrees of freedom of one weighing: hooks, drips and a moving rail make long tails. From memory."""

SIDE_SHARE_SD = 0.004
"""How far sides of one kind in one cooler differ in what they have lost, as a share of hot weight. From memory."""

_ROUNDS = 5


@dataclass(frozen=True, slots=True)
class HungSide:
    """The weighings of one side; `fat_mm` None where nobody read it."""

    cooler: str
    hot_kg: float
    fat_mm: float | None
    weighings: tuple[Weighing, ...]


@dataclass(frozen=True, slots=True)
class LearnedLoss:
    """What was learned for one kind and cooler: `book` and `both` (book and own), from `sides` sides.

    `set_aside` weighings could not be true.
    """

    book: LossModel
    both: LossModel
    sides: int
    set_aside: int

    def of_side(self, book: LossModel) -> LossModel:
        """What the next side here loses, where `book` is the book's belief of it with its own weight and fat cover: as
        far beside the book as the shop was seen to be, and as sure but for what makes sides differ."""
        if not self.sides:
            return book
        mean = np.array(book.mean) + np.array(self.both.mean) - np.array(self.book.mean)
        # However it was learned, a side gains nothing while it chills.
        mean[0] = max(mean[0], 0.0)
        covariance = np.array(self.both.covariance)
        covariance[0, 0] += SIDE_SHARE_SD**2
        return replace(book, mean=_three(mean), covariance=_square(covariance))


def learn_hanging(kind: Kind, sides: Sequence[HungSide]) -> dict[str, LearnedLoss]:
    """The loss of `kind` by cooler; "" holds what all coolers together say, for a cooler without weighings.

    Fat cover moves what the book expects of each side; what is learned is how far the shop departs from that.
    """
    coolers = {"": list(sides)} | {name: [one for one in sides if one.cooler == name] for name in
                                   sorted({one.cooler for one in sides} - {""})}  # fmt: skip
    return {name: _learned(kind, found) for name, found in coolers.items()}


def _learned(kind: Kind, sides: Sequence[HungSide]) -> LearnedLoss:
    book = LossModel.prior(kind, fat_mm=None)
    days: list[float] = []
    lost: list[float] = []
    counts: list[int] = []
    set_aside = 0
    for side in sides:
        own_book = LossModel.prior(kind, fat_mm=side.fat_mm, side_hot_kg=side.hot_kg)
        true = []
        for one in side.weighings:
            if weighing_slips([one], side_hot_kg=side.hot_kg, model=own_book):
                set_aside += 1
            else:
                true.append(one)
        for one in true:
            moved = own_book.remaining_mean(one.day) - book.remaining_mean(one.day)
            days.append(one.day)
            lost.append(1.0 - one.weight_kg / side.hot_kg + moved)
        counts += [len(true)] * len(true)
    # Weighings of one side share its own departure, so each of several counts for less than one alone.
    noise = [math.hypot(book.noise_share, SIDE_SHARE_SD * math.sqrt(count)) for count in counts]
    return LearnedLoss(book, _robust(book, days, lost, noise), len(sides), set_aside)


def _robust(book: LossModel, days: list[float], lost: list[float], noise: list[float]) -> LossModel:
    """The update with weighings far out counting for less [Lange, Little & Taylor, Journal of the American
    Statistical Association 84, 1989]."""
    if not days:
        return book
    rows, seen, sd = np.array([book.basis(day) for day in days]), np.array(lost), np.array(noise)
    before = np.linalg.inv(np.array(book.covariance))
    mean = np.array(book.mean)
    tame = np.ones(len(days))
    for _ in range(_ROUNDS):
        weighted = rows * (tame / sd**2)[:, None]
        covariance = np.linalg.inv(before + rows.T @ weighted)
        mean = covariance @ (before @ np.array(book.mean) + weighted.T @ seen)
        far = (seen - rows @ mean) / sd
        tame = np.minimum(1.0, (WEIGHING_DF + 1.0) / (WEIGHING_DF + far * far))
    return replace(
        book, mean=_three(mean), covariance=_square(covariance), weighings=book.weighings + len(days)
    )


def _three(values: NDArray[np.float64]) -> Vector:
    one, two, three = values.tolist()
    return one, two, three


def _square(values: NDArray[np.float64]) -> Matrix:
    one, two, three = (_three(row) for row in (values + values.T) / 2)
    return one, two, three
