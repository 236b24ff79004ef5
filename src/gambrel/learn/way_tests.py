"""Cutting tests of one way of breaking one piece, as departures from the book.

A test may be partial: only some of the outputs were weighed. Its departures say nothing about the others, not even
their total; what they say of the weighed ones against each other is all kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.breakdown.composition import Floats


@dataclass(frozen=True)
class WayTests:
    """`departure` (tests, parts): log of weight over what the book expects of this carcass; NaN where not weighed.
    A factor common to a row tells nothing, so weights or shares may be given alike.

    `covariates` (tests, covariates) as standard deviations from the kind's usual carcass. `kinds`, `suppliers` and
    `cutters` name each test's own ("" where nobody knows); `day` (tests,) counts days from any date.
    """

    parts: tuple[str, ...]
    departure: Floats
    covariates: Floats
    kinds: tuple[str, ...]
    suppliers: tuple[str, ...]
    cutters: tuple[str, ...]
    day: Floats

    def __post_init__(self) -> None:
        tests = len(self.departure)
        columns = (self.covariates, self.kinds, self.suppliers, self.cutters, self.day)
        if self.departure.shape != (tests, len(self.parts)) or any(
            len(column) != tests for column in columns
        ):
            raise ValueError("every test needs a departure of each part, covariates, names and a day")
        if np.any(np.isinf(self.departure)) or not np.all(np.isfinite(self.covariates)):
            raise ValueError("departures must be finite or NaN, covariates finite")

    def __len__(self) -> int:
        return len(self.departure)

    @property
    def names(self) -> dict[str, tuple[str, ...]]:
        """The names of each group of effects."""
        return {"kind": self.kinds, "supplier": self.suppliers, "cutter": self.cutters}

    def only(self, rows: Sequence[int] | np.ndarray) -> WayTests:
        """Some of the tests, by number or by a mask."""
        numbers = np.arange(len(self))[rows].tolist()

        def pick(names: tuple[str, ...]) -> tuple[str, ...]:
            return tuple(names[number] for number in numbers)

        return WayTests(self.parts, self.departure[numbers], self.covariates[numbers], pick(self.kinds),
                        pick(self.suppliers), pick(self.cutters), self.day[numbers])  # fmt: skip

    def plus(self, more: WayTests) -> WayTests:
        """These tests and then those."""
        if more.parts != self.parts:
            raise ValueError("tests of one way have the same parts")
        return WayTests(
            self.parts,
            np.vstack([self.departure, more.departure]),
            np.vstack([self.covariates, more.covariates]),
            self.kinds + more.kinds,
            self.suppliers + more.suppliers,
            self.cutters + more.cutters,
            np.concatenate([self.day, more.day]),
        )


def way_tests(
    parts: Sequence[str],
    weights: Floats,
    book: Floats,
    *,
    covariates: Floats | None = None,
    kinds: Sequence[str] | None = None,
    suppliers: Sequence[str] | None = None,
    cutters: Sequence[str] | None = None,
    day: Sequence[float] | Floats | None = None,
) -> WayTests:
    """Tests from weights (tests, parts), NaN or 0 where a part was not weighed, against the `book`'s shares.

    `book` is (parts,), or (tests, parts) where each carcass has its own. Names left out are not known; days left
    out count the tests. A test with fewer than two weighed parts tells nothing and is refused: ValueError.
    """
    kg = np.atleast_2d(np.asarray(weights, dtype=float))
    with np.errstate(divide="ignore"):
        departure = np.where(kg > 0.0, np.log(np.where(kg > 0.0, kg, 1.0)) - np.log(book), np.nan)
    if np.any(kg < 0.0) or np.any(np.isfinite(departure).sum(axis=1) < 2):
        raise ValueError("a test needs two weighed parts, and no weight below nothing")
    tests = len(kg)
    nobody = ("",) * tests
    x = np.zeros((tests, 0)) if covariates is None else np.asarray(covariates, dtype=float).reshape(tests, -1)
    days = np.arange(tests, dtype=float) if day is None else np.asarray(day, dtype=float)
    return WayTests(tuple(parts), departure, x, tuple(kinds or nobody), tuple(suppliers or nobody),
                    tuple(cutters or nobody), days)  # fmt: skip
