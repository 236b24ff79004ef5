"""Cutting tests as departures from the book, by hand; and how fast old ones fade."""

from __future__ import annotations

import math
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from tests_of_a_way import BOOK, PARTS, TRUE, book_model, weights

from gambrel.learn.drift import choose_half_life_days
from gambrel.learn.way_tests import WayTests, way_tests
from gambrel.learn.yields import YieldModel

BOOK_OF_3 = np.array([0.5, 0.3, 0.2])
NAMES_OF_3 = ("lean", "bone", "fat")


def three(kg: Any, **more: Any) -> WayTests:
    return way_tests(NAMES_OF_3, np.asarray(kg, dtype=float), BOOK_OF_3, **more)


def test_a_departure_is_the_log_of_weight_over_the_books_share() -> None:
    tests = three([[10.0, 6.0, 4.0], [12.0, 6.0, 2.0]])
    assert tests.departure[0] == pytest.approx([math.log(20.0)] * 3), (
        "as the book says, but for a common factor"
    )
    assert tests.departure[1] == pytest.approx([math.log(24.0), math.log(20.0), math.log(10.0)])


def test_each_carcass_may_have_its_own_book() -> None:
    book = np.array([[0.5, 0.3, 0.2], [0.25, 0.25, 0.5]])
    tests = way_tests(NAMES_OF_3, np.array([[5.0, 3.0, 2.0], [2.5, 2.5, 5.0]]), book)
    assert tests.departure == pytest.approx(np.full((2, 3), math.log(10.0)))


@pytest.mark.parametrize("gap", [0.0, np.nan])
def test_what_was_not_weighed_is_a_gap(gap: float) -> None:
    tests = three([[5.0, gap, 2.0]])
    assert np.isnan(tests.departure[0]).tolist() == [False, True, False]


@pytest.mark.parametrize(
    "kg", [[5.0, np.nan, np.nan], [0.0, 0.0, 0.0], [np.nan] * 3, [5.0, -3.0, 2.0], [5.0, 0.0, 0.0]]
)
def test_a_test_that_tells_nothing_is_refused(kg: list[float]) -> None:
    with pytest.raises(ValueError, match="two weighed parts"):
        three([kg])


def test_names_left_out_are_nobodys_and_days_count_the_tests() -> None:
    tests = three([[5.0, 3.0, 2.0]] * 3)
    assert tests.names == dict.fromkeys(("kind", "supplier", "cutter"), ("", "", ""))
    assert tests.day.tolist() == [0.0, 1.0, 2.0]
    assert tests.covariates.shape == (3, 0)


def test_some_of_the_tests_keep_their_own_names_days_and_covariates() -> None:
    tests = three([[5.0, 3.0, 2.0], [6.0, 3.0, 1.0], [4.0, 3.0, 3.0]], kinds=("bison", "wagyu", "bison"),
                  cutters=("Wren", "Odell", "Wren"), day=[3.0, 9.0, 4.0], covariates=[[1.0], [2.0], [3.0]])  # fmt: skip
    for rows in ([0, 2], np.array([True, False, True])):
        some = tests.only(rows)
        assert (some.kinds, some.cutters) == (("bison", "bison"), ("Wren", "Wren"))
        assert (some.day.tolist(), some.covariates.tolist()) == ([3.0, 4.0], [[1.0], [3.0]])
        assert some.departure == pytest.approx(tests.departure[[0, 2]])
    assert len(tests.only([])) == 0


def test_these_and_those() -> None:
    first, then = three([[5.0, 3.0, 2.0]], kinds=("bison",)), three([[6.0, 3.0, 1.0]], cutters=("Wren",))
    both = first.plus(then)
    assert (len(both), both.kinds, both.cutters) == (2, ("bison", ""), ("", "Wren"))
    assert both.only([1]).departure == pytest.approx(then.departure)
    with pytest.raises(ValueError, match="same parts"):
        first.plus(way_tests(PARTS, TRUE[None], BOOK))


@pytest.mark.parametrize(
    "spoil",
    [{"kinds": ("bison",)}, {"day": np.zeros(1)}, {"covariates": np.zeros((1, 1))},
     {"departure": np.full((2, 3), np.inf)}, {"covariates": np.full((2, 1), np.nan)}, {"parts": ("lean", "bone")}],
    ids=["kinds", "day", "covariates", "endless", "unknown covariates", "parts"],
)  # fmt: skip
def test_columns_that_do_not_agree_are_refused(spoil: dict[str, Any]) -> None:
    whole = {
        "parts": NAMES_OF_3, "departure": np.zeros((2, 3)), "covariates": np.zeros((2, 1)), "kinds": ("", ""),
        "suppliers": ("", ""), "cutters": ("", ""), "day": np.zeros(2),
    }  # fmt: skip
    assert len(WayTests(**whole)) == 2  # type: ignore[arg-type]
    with pytest.raises(ValueError):
        WayTests(**{**whole, **spoil})


def fading(half_life_days: float | None, kg: np.ndarray, day: np.ndarray) -> np.ndarray:
    model = YieldModel.book(book_model(), half_life_days=half_life_days).learned(
        way_tests(PARTS, kg, BOOK, day=day)
    )
    return np.asarray(model.effects.solved().coefficients[0])


def test_a_test_one_half_life_old_counts_half() -> None:
    """Two tests, the older of weight 1/2 where it is a half-life old: the sums say so."""
    kg = weights(np.random.default_rng(1), 2)
    model = YieldModel.book(book_model(), half_life_days=90.0)
    young = model.learned(way_tests(PARTS, kg, BOOK, day=[90.0, 90.0]))
    old = model.learned(way_tests(PARTS, kg, BOOK, day=[0.0, 90.0]))
    assert young.effects.sums.count == pytest.approx(2.0, rel=0.02)
    assert old.effects.sums.count == pytest.approx(1.5, rel=0.02)


def test_the_present_weighs_most_where_the_past_fades() -> None:
    """Forty sides cut one way, then twenty another way: who forgets is nearer to the newer way."""
    rng = np.random.default_rng(2)
    changed = np.array([1.25, 0.9, 1.0, 1.0, 1.0, 1.0])
    kg = np.vstack([weights(rng, 40), weights(rng, 20, changed)])
    day = np.concatenate([np.arange(40.0), np.arange(300.0, 320.0)])
    now = fading(None, kg[40:], day[40:])
    near = np.linalg.norm(fading(60.0, kg, day) - now)
    assert near < 0.5 * np.linalg.norm(fading(None, kg, day) - now)


def test_a_shop_that_does_not_drift_keeps_all_its_tests() -> None:
    rng = np.random.default_rng(3)
    tests = way_tests(PARTS, weights(rng, 60), BOOK, day=np.arange(60.0) * 12.0)
    assert choose_half_life_days([(YieldModel.book(book_model()), tests)]) is None


def test_a_shop_that_cuts_otherwise_since_a_day_forgets() -> None:
    rng = np.random.default_rng(4)
    changed = np.array([1.4, 0.8, 0.9, 1.1, 1.0, 1.0])
    kg = np.vstack([weights(rng, 30), weights(rng, 30, changed)])
    tests = way_tests(PARTS, kg, BOOK, day=np.arange(60.0) * 12.0)
    found = choose_half_life_days([(YieldModel.book(book_model()), tests)])
    assert found is not None
    assert found <= 180.0


def test_too_few_tests_say_nothing_of_drift() -> None:
    rng = np.random.default_rng(5)
    turn = np.array([2.0, 0.5, 1.0, 1.0, 1.0, 1.0])
    kg = np.vstack([weights(rng, 10), weights(rng, 10, turn)])
    tests = way_tests(PARTS, kg, BOOK, day=np.arange(20.0) * 30.0)
    assert choose_half_life_days([(YieldModel.book(book_model()), tests)]) is None
    assert choose_half_life_days([]) is None
