"""Yields of one way learned from tests: close to the truth, robust, partial, drifting, lent from kind to kind."""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parent))
from tests_of_a_way import BOOK, PARTS, TRUE, book_model, drawn, mean_shares, weights, with_effects

from gambrel.breakdown.share_model import ShareModel
from gambrel.learn.way_tests import WayTests, way_tests
from gambrel.learn.yields import YieldModel


def learned(tests: WayTests, **of: str) -> ShareModel:
    return YieldModel.book(book_model()).learned(tests).forecast_model(book_model(), of)


def error(model: ShareModel) -> float:
    return float(np.abs(mean_shares(model) - TRUE / TRUE.sum()).mean())


def test_without_tests_it_is_the_book() -> None:
    model = YieldModel.book(book_model()).forecast_model(book_model(), {"kind": "bison"})
    assert mean_shares(model) == pytest.approx(BOOK)
    mine, book = model.forecast(draws=4000, seed=1), book_model().forecast(draws=4000, seed=1)
    assert np.percentile(mine, (5, 95), axis=0) == pytest.approx(
        np.percentile(book, (5, 95), axis=0), rel=1e-6
    )


def test_no_tests_at_all_are_learned_as_the_book() -> None:
    none = drawn(np.random.default_rng(0), 2).only([])
    assert mean_shares(learned(none)) == pytest.approx(BOOK)


def test_tests_move_the_book_to_the_truth() -> None:
    rng = np.random.default_rng(1)
    book_error = float(np.abs(BOOK - TRUE / TRUE.sum()).mean())
    errors = [error(learned(drawn(rng, tests))) for tests in (3, 10, 40)]
    assert errors[0] < book_error
    assert errors[2] < 0.25 * book_error
    assert errors == sorted(errors, reverse=True)


def test_one_test_moves_it_only_part_of_the_way() -> None:
    kg = TRUE[None] * 40.0
    shares = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    assert TRUE[0] < shares[0] < BOOK[0]
    assert BOOK[2] < shares[2] < TRUE[2]


def test_intervals_hold_nine_in_ten() -> None:
    held = []
    for seed in range(40):
        rng = np.random.default_rng(seed)
        draws = learned(drawn(rng, 15)).forecast(draws=1500, seed=seed)[:, 0, :5]
        truth = weights(rng, 20)
        truth = truth / truth.sum(axis=1, keepdims=True)
        low, high = np.percentile(draws, (5, 95), axis=0)
        held.append(np.mean((truth[:, :5] >= low) & (truth[:, :5] <= high)))
    assert 0.85 <= float(np.mean(held)) <= 0.96


@pytest.mark.parametrize("factor", [1e-3, 0.4536, 2.2046, 10.0])
def test_a_wild_weight_hardly_moves_it(factor: float) -> None:
    rng = np.random.default_rng(2)
    kg = weights(rng, 20)
    clean = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    kg[4, 1] *= factor
    spoiled = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    assert spoiled == pytest.approx(clean, rel=0.015)


def test_a_wild_side_hardly_moves_it() -> None:
    rng = np.random.default_rng(3)
    kg = weights(rng, 20)
    clean = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    kg[7] = kg[7, ::-1]
    assert mean_shares(learned(way_tests(PARTS, kg, BOOK))) == pytest.approx(clean, rel=0.03)


def test_wild_weights_are_counted_and_good_ones_are_not() -> None:
    rng = np.random.default_rng(4)
    kg = weights(rng, 30)
    model = YieldModel.book(book_model())
    assert model.learned(way_tests(PARTS, kg, BOOK)).wild == 0
    kg[3, 0] *= 2.2046
    kg[9, 2] *= 0.1
    assert model.learned(way_tests(PARTS, kg, BOOK)).wild == 2


def test_a_partial_test_speaks_of_what_was_weighed() -> None:
    """Three parts of six, in the proportions of the truth: their ratios move, the others' do not."""
    kg = np.tile(40.0 * TRUE, (40, 1))
    kg[:, 3:] = np.nan
    shares = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    assert shares[0] / shares[2] == pytest.approx(TRUE[0] / TRUE[2], rel=0.06)
    assert shares[3] / shares[4] == pytest.approx(BOOK[3] / BOOK[4], rel=0.02)


def test_partial_tests_do_no_harm_and_some_good() -> None:
    rng = np.random.default_rng(5)
    few, partial = weights(rng, 4), weights(rng, 40)
    partial[:, 4:] = np.nan
    alone = error(learned(way_tests(PARTS, few, BOOK)))
    assert error(learned(way_tests(PARTS, np.vstack([few, partial]), BOOK))) < alone


def test_what_was_never_weighed_stays_as_unsure_as_the_book() -> None:
    rng = np.random.default_rng(6)
    kg = weights(rng, 30)
    kg[:, 5] = np.nan
    draws = np.log(learned(way_tests(PARTS, kg, BOOK)).forecast(draws=3000, seed=1)[:, 0])
    book = np.log(book_model().forecast(draws=3000, seed=1)[:, 0])
    assert np.std(draws[:, 5] - draws[:, 0]) > 0.6 * np.std(book[:, 5] - book[:, 0])


def test_a_common_factor_tells_nothing() -> None:
    rng = np.random.default_rng(7)
    kg = weights(rng, 8)
    once = mean_shares(learned(way_tests(PARTS, kg, BOOK)))
    assert mean_shares(learned(way_tests(PARTS, 3.0 * kg, BOOK))) == pytest.approx(once, rel=1e-9)


def test_kinds_lend_to_each_other_but_keep_their_own() -> None:
    rng = np.random.default_rng(8)
    bison = np.array([0.8, 1.0, 1.2, 1.0, 1.0, 1.0])
    of = ["grain"] * 30 + ["bison"] * 12
    kg = with_effects(rng, of, {"bison": bison})
    tests = way_tests(PARTS, kg, BOOK, kinds=of)
    true_bison = TRUE * bison / (TRUE * bison).sum()
    of_bison = mean_shares(learned(tests, kind="bison"))
    new_kind = mean_shares(learned(tests, kind="wagyu"))
    assert of_bison == pytest.approx(true_bison, rel=0.08)
    assert np.abs(new_kind - TRUE / TRUE.sum()).mean() < np.abs(BOOK - TRUE / TRUE.sum()).mean()


def test_a_kind_never_met_is_less_sure() -> None:
    rng = np.random.default_rng(9)
    tests = drawn(rng, 30, kinds=["grain"] * 15 + ["grass"] * 15)
    known = learned(tests, kind="grain").forecast(draws=3000, seed=2)[:, 0, 0]
    new = learned(tests, kind="wagyu").forecast(draws=3000, seed=2)[:, 0, 0]
    assert np.std(new) > np.std(known)


def test_suppliers_alike_have_no_effects() -> None:
    rng = np.random.default_rng(10)
    names = [f"supplier {number % 5}" for number in range(60)]
    model = YieldModel.book(book_model()).learned(drawn(rng, 60, suppliers=names))
    solved = model.effects.solved()
    sizes = [np.linalg.norm(solved.effect_of(("supplier", name))[0]) for name in sorted(set(names))]
    assert max(sizes) < 0.25 * np.sqrt(np.trace(solved.spread))


def test_a_supplier_apart_is_told_apart() -> None:
    rng = np.random.default_rng(11)
    names = [f"supplier {number % 5}" for number in range(60)]
    fat = np.array([1.0, 1.0, 1.0, 1.0, 1.4, 1.0])
    tests = way_tests(PARTS, with_effects(rng, names, {"supplier 3": fat}), BOOK, suppliers=names)
    apart = mean_shares(learned(tests, supplier="supplier 3"))[4]
    others = [mean_shares(learned(tests, supplier=f"supplier {one}"))[4] for one in (0, 1, 2, 4)]
    assert apart > 1.2 * max(others)


def test_a_new_cutter_is_learned_beside_the_old() -> None:
    rng = np.random.default_rng(12)
    names = ["ana"] * 30 + ["ben"] * 15
    wasteful = np.array([0.85, 0.9, 1.35, 1.0, 1.0, 1.0])
    tests = way_tests(PARTS, with_effects(rng, names, {"ben": wasteful}), BOOK, cutters=names)
    assert mean_shares(learned(tests, cutter="ben"))[2] > 1.15 * mean_shares(learned(tests, cutter="ana"))[2]


def test_old_tests_fade_when_the_shop_drifts() -> None:
    rng = np.random.default_rng(13)
    old, new = weights(rng, 30, np.array([1.2, 1.0, 0.8, 1.0, 1.0, 1.0])), weights(rng, 15)
    tests = way_tests(PARTS, np.vstack([old, new]), BOOK, day=[*range(30), *range(300, 315)])
    fading = YieldModel.book(book_model(), half_life_days=60).learned(tests)
    assert error(fading.forecast_model(book_model(), {})) < 0.5 * error(learned(tests))


def test_updating_comes_close_to_learning_all_anew() -> None:
    rng = np.random.default_rng(14)
    names = [f"supplier {number % 3}" for number in range(40)]
    tests = drawn(rng, 40, suppliers=names)
    model = YieldModel.book(book_model()).learned(tests.only(range(25)))
    for number in range(25, 40):
        model = model.updated(tests.only([number]))
    assert model.tests == 40
    anew = YieldModel.book(book_model()).learned(tests)
    mine = mean_shares(model.forecast_model(book_model(), {"supplier": "supplier 1"}))
    assert mine == pytest.approx(
        mean_shares(anew.forecast_model(book_model(), {"supplier": "supplier 1"})), rel=0.02
    )


def test_an_update_from_nothing_is_an_update_of_the_book() -> None:
    rng = np.random.default_rng(15)
    model = YieldModel.book(book_model()).updated(drawn(rng, 5, kinds=["bison"] * 5))
    assert error(model.forecast_model(book_model(), {"kind": "bison"})) < np.abs(BOOK - TRUE).mean()


def test_the_same_tests_give_the_same_model_to_the_last_digit() -> None:
    tests = drawn(np.random.default_rng(16), 20)
    first, again = learned(tests), learned(tests)
    assert np.array_equal(first.forecast(draws=50, seed=3), again.forecast(draws=50, seed=3))


def test_what_cannot_be_a_test_is_refused() -> None:
    with pytest.raises(ValueError, match="two weighed parts"):
        way_tests(PARTS, [[1.0, np.nan, 0.0, np.nan, np.nan, np.nan]], BOOK)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="below nothing"):
        way_tests(PARTS, [[1.0, 2.0, -1.0, 1.0, 1.0, 1.0]], BOOK)  # type: ignore[arg-type]
    with pytest.raises(ValueError, match="another way"):
        YieldModel.book(ShareModel.from_prior(("a", "b"), [1, 1])).updated(drawn(np.random.default_rng(0), 1))
    with pytest.raises(ValueError, match="another way"):
        YieldModel.book(book_model()).forecast_model(ShareModel.from_prior(("a", "b"), [1, 1]), {})
    with pytest.raises(ValueError, match="taught there"):
        learned(drawn(np.random.default_rng(0), 3)).update(BOOK)
