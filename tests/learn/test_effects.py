"""Effects by kind, supplier and cutter: the regression against other ways of computing it, and shrinkage by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from gambrel.learn.effects import GROUPS, Effects, Level, Prior, Scales

SIZE = 3
TESTS = 24


def prior(covariates: int = 0) -> Prior:
    rng = np.random.default_rng(5)
    root = rng.normal(size=(SIZE, SIZE)) * 0.05 + np.eye(SIZE) * 0.1
    return Prior(root @ root.T, worth=4.0, df=8.0, slope_sd=0.5, covariates=covariates)


def names(seed: int = 0) -> dict[str, tuple[str, ...]]:
    rng = np.random.default_rng(seed)
    return {
        "kind": tuple(rng.choice(["bison", "wagyu"], TESTS)),
        "supplier": tuple(rng.choice(["Alder Flat", "Birch Run", ""], TESTS)),
        "cutter": tuple(rng.choice(["Odell", "Wren"], TESTS)),
    }


def levels_of(named: dict[str, tuple[str, ...]]) -> set[Level]:
    return {(group, name) for group, all_of in named.items() for name in all_of}


def with_tests(effects: Effects, rows: np.ndarray, y: np.ndarray) -> Effects:
    sums = replace(effects.sums, count=float(len(y)), xx=rows.T @ rows, xy=rows.T @ y, yy=y.T @ y)
    return replace(effects, sums=sums)


def learned(covariates: int = 0, seed: int = 0) -> tuple[Effects, np.ndarray, np.ndarray]:
    rng = np.random.default_rng(seed + 50)
    named = names(seed)
    effects = Effects.none(prior(covariates)).with_levels(levels_of(named))
    rows = effects.design(rng.normal(size=(TESTS, covariates)), named)
    y = rng.normal(size=(TESTS, SIZE)) * 0.1
    return with_tests(effects, rows, y), rows, y


def precisions(effects: Effects) -> np.ndarray:
    """By hand: the book and the kinds each twice its worth where kinds are told apart; slopes 1 / sd2; others 1 / v."""
    scales, given = effects.scales, effects.prior
    book = given.worth * scales.book * (2.0 if any(group == "kind" for group, _ in effects.levels) else 1.0)
    slopes = [1.0 / (given.slope_sd**2 * one) for one in scales.slope]
    return np.array([book, *slopes, *(book if group == "kind" else 1.0 / scales.effect[group]
                                      for group, _ in effects.levels)])  # fmt: skip


@pytest.mark.parametrize(("covariates", "seed"), list(itertools.product((0, 1, 3), range(3))))
def test_coefficients_are_least_squares_with_the_prior_as_tests_of_its_own(
    covariates: int, seed: int
) -> None:
    """A prior of precision w about nothing is one made-up test of 0 with the root of w in its column."""
    effects, rows, y = learned(covariates, seed)
    made_up = np.diag(np.sqrt(precisions(effects)))
    all_rows = np.vstack([rows, made_up])
    all_y = np.vstack([y, np.zeros((len(made_up), SIZE))])
    by_hand, *_ = np.linalg.lstsq(all_rows, all_y, rcond=None)
    covariance, coefficients = effects.coefficients()
    assert coefficients == pytest.approx(by_hand, abs=1e-10)
    assert covariance == pytest.approx(np.linalg.inv(all_rows.T @ all_rows), abs=1e-10)


@pytest.mark.parametrize("seed", range(4))
def test_the_spread_is_what_tests_and_prior_leave_about_the_coefficients(seed: int) -> None:
    """Scatter of the book, of the tests about their fit, and of the coefficients about nothing, over the df."""
    effects, rows, y = learned(1, seed)
    solved = effects.solved()
    off = y - rows @ solved.coefficients
    shrunk = solved.coefficients.T @ np.diag(precisions(effects)) @ solved.coefficients
    book = effects.prior.spread * 8.0 / 1.25  # worth 4: df / (1 + 1/4)
    assert solved.df == 8.0 + TESTS
    assert solved.spread == pytest.approx((book + off.T @ off + shrunk) / (8.0 + TESTS), abs=1e-12)


@pytest.mark.parametrize(("tests", "variance"), [(1, 0.1), (4, 0.03), (10, 0.4), (100, 0.03)])
def test_a_suppliers_effect_shrinks_by_its_tests_and_its_variance(tests: int, variance: float) -> None:
    """With the common mean held at nothing, n tests of mean m and effects of variance v: n m / (n + 1 / v)."""
    held = replace(prior(), worth=1e12)
    effects = Effects.none(held).with_levels([("supplier", "Alder Flat")])
    effects = replace(effects, scales=replace(effects.scales, effect={"supplier": variance, "cutter": 0.03}))
    rows = effects.design(np.zeros((tests, 0)), {"supplier": ("Alder Flat",) * tests})
    y = np.full((tests, SIZE), 0.2)
    effect, uncertain = with_tests(effects, rows, y).solved().effect_of(("supplier", "Alder Flat"))
    assert effect == pytest.approx(np.full(SIZE, tests * 0.2 / (tests + 1 / variance)))
    assert uncertain == pytest.approx(1 / (tests + 1 / variance))


def test_the_design_by_hand() -> None:
    effects = Effects.none(prior(1)).with_levels([("kind", "bison"), ("cutter", "Wren"), ("supplier", "")])
    assert effects.levels == (("cutter", "Wren"), ("kind", "bison")), "in order, and nobody is no level"
    rows = effects.design(np.array([[0.5], [-1.0], [2.0]]),
                          {"kind": ("bison", "wagyu", ""), "cutter": ("Wren", "Wren", "Odell")})  # fmt: skip
    assert rows.tolist() == [[1, 0.5, 1, 1], [1, -1.0, 1, 0], [1, 2.0, 0, 0]]


def test_room_for_a_new_level_changes_nothing_that_is_known() -> None:
    effects, _, _ = learned(1)
    wider = effects.with_levels([("supplier", "Cedar Draw"), *effects.levels])
    size = len(effects.sums.xx)
    assert wider.levels == (*effects.levels, ("supplier", "Cedar Draw"))
    assert wider.coefficients()[1][:size] == pytest.approx(effects.coefficients()[1], abs=1e-12)
    assert wider.coefficients()[1][size:] == pytest.approx(np.zeros((1, SIZE)), abs=1e-12)
    assert effects.with_levels(effects.levels) is effects


def test_a_level_never_met_has_no_effect_and_its_whole_variance() -> None:
    effects, _, _ = learned()
    solved = effects.solved()
    one = {"centre": np.zeros(0), "scale": np.ones(0)}
    known = solved.fit_of({"kind": "bison", "cutter": "Wren", "supplier": "Birch Run"}, **one)
    new = solved.fit_of({"kind": "bison", "cutter": "Wren", "supplier": "Cedar Draw"}, **one)
    effect, _ = solved.effect_of(("supplier", "Birch Run"))
    assert known.coefficients[0] - new.coefficients[0] == pytest.approx(effect)
    base = Effects.coefficients(effects)[0]
    pick = np.zeros(len(base))
    pick[[0, 1 + effects.levels.index(("kind", "bison")), 1 + effects.levels.index(("cutter", "Wren"))]] = 1.0
    assert new.root[0, 0] ** 2 == pytest.approx(pick @ base @ pick + effects.scales.effect["supplier"])


def test_what_a_strange_kind_may_be_off_by_is_its_half_of_the_book() -> None:
    """Worth 4 carcasses: a variance of 1/4, half of it the shop's and half the kind's own, 1/8."""
    effects, _, _ = learned()
    assert effects.strange_variance("kind") == pytest.approx(1 / 8)
    assert effects.strange_variance("cutter") == effects.scales.effect["cutter"]
    nobody = Effects.none(prior())
    assert [nobody.strange_variance(group) for group in GROUPS] == [0.0, 0.0, 0.0]


def test_before_any_test_the_total_doubt_of_a_kind_is_that_of_the_book() -> None:
    """With kinds told apart or not, the book's mean is worth 4 carcasses: a variance of 1/4 of the spread."""
    one = {"centre": np.zeros(0), "scale": np.ones(0)}
    without = Effects.none(prior()).solved().fit_of({}, **one)
    kinds = Effects.none(prior()).with_levels([("kind", "bison"), ("kind", "wagyu")]).solved()
    assert without.root[0, 0] ** 2 == pytest.approx(1 / 4)
    for kind in ("bison", "wagyu", "grass-finished"):
        assert kinds.fit_of({"kind": kind}, **one).root[0, 0] ** 2 == pytest.approx(1 / 4), kind


def test_what_one_kind_teaches_is_half_lent_to_another() -> None:
    """Many tests of bison at 0.2: shop and kind have equal shares of the book's doubt, so each moves by half."""
    effects = Effects.none(prior()).with_levels([("kind", "bison"), ("kind", "wagyu")])
    rows = effects.design(np.zeros((10_000, 0)), {"kind": ("bison",) * 10_000})
    solved = with_tests(effects, rows, np.full((10_000, SIZE), 0.2)).solved()
    one = {"centre": np.zeros(0), "scale": np.ones(0)}
    assert solved.fit_of({"kind": "bison"}, **one).coefficients[0] == pytest.approx(0.2, rel=1e-3)
    assert solved.fit_of({"kind": "wagyu"}, **one).coefficients[0] == pytest.approx(0.1, rel=1e-3)


def test_scales_follow_the_evidence() -> None:
    """Two cutters 0.3 apart in a spread of about 0.1 have large effects; two alike have next to none."""
    rng = np.random.default_rng(3)
    cutters = ("Odell", "Wren") * 30
    effects = Effects.none(prior()).with_levels([("cutter", "Odell"), ("cutter", "Wren")])
    rows = effects.design(np.zeros((60, 0)), {"cutter": cutters})
    noise = rng.multivariate_normal(np.zeros(SIZE), prior().spread, size=60)
    apart = noise + np.where(np.array(cutters) == "Wren", 0.15, -0.15)[:, None]
    far = with_tests(effects, rows, apart).tuned().scales.effect["cutter"]
    near = with_tests(effects, rows, noise).tuned().scales.effect["cutter"]
    assert near <= 0.03 < 0.4 <= far


def test_without_a_test_the_scales_are_the_stated_ones() -> None:
    effects = Effects.none(prior(2)).with_levels([("cutter", "Wren")])
    assert effects.tuned() is effects
    assert effects.scales == Scales(1.0, 1.0, (1.0, 1.0), {"supplier": 0.03, "cutter": 0.03})


def test_tuned_scales_have_no_less_evidence_than_the_stated_ones() -> None:
    effects, _, _ = learned(2, seed=4)
    told = effects.evidence([effects.scales, effects.tuned().scales])
    assert told[1] >= told[0]
