"""Twins of two parts by hand and of four by the precisions; days of sides added up in any grouping."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.breakdown import ShareModel
from gambrel.breakdown.balance import Balance
from gambrel.breakdown.composition import to_coordinates
from gambrel.learn.chain import Chain, balance_chain, day_chain
from gambrel.learn.twins import Twins
from gambrel.measures import Estimate

MEAN = np.array([0.4, 0.3, 0.2, 0.1])


def log_ratio(first_kg: float, second_kg: float) -> float:
    """The one coordinate of two parts [Egozcue et al., Isometric logratio transformations, Math. Geology 35, 2003]."""
    return math.log(first_kg / second_kg) / math.sqrt(2.0)


@pytest.mark.parametrize(
    ("left", "right"),
    [((60.0, 40.0), (60.0, 40.0)), ((60.0, 40.0), (50.0, 50.0)), ((30.0, 20.0), (50.0, 50.0)), ((1, 9), (9, 1))],
)  # fmt: skip
def test_one_pair_of_two_parts(left: tuple[float, float], right: tuple[float, float]) -> None:
    """Six pairs the prior counts for: six parts of what it said and one of half the square of the difference."""
    before = Twins.from_prior(("a", "b"))
    apart = log_ratio(*left) - log_ratio(*right)
    after = before.learned(np.array([left]), np.array([right]))
    assert after.own[0, 0] == pytest.approx((6.0 * before.own[0, 0] + 0.5 * apart**2) / 7.0)
    assert after.pairs == 1
    swapped = before.learned(np.array([right]), np.array([left]))
    assert swapped.own == pytest.approx(after.own)


def test_heavier_animals_teach_as_much_as_lighter_ones() -> None:
    """Shares alone count: both sides twice as heavy say the same."""
    rng = np.random.default_rng(7)
    left, right = (MEAN * np.exp(0.1 * rng.standard_normal((9, 4))) for _ in range(2))
    parts = ("a", "b", "c", "d")
    once, twice = (Twins.from_prior(parts, MEAN).learned(f * left, f * right) for f in (1.0, 2.0))
    assert once.own == pytest.approx(twice.own, abs=1e-12)


def test_many_pairs_bring_the_spread_that_they_were_made_with() -> None:
    """Each side's coordinates about the animal's with a standard deviation of 0.05: own is 0.0025 on the diagonal."""
    rng = np.random.default_rng(3)
    animal = rng.normal(0.0, 0.4, (4000, 4))
    left, right = (np.exp(animal + rng.normal(0.0, 0.05, (4000, 4))) for _ in range(2))
    own = Twins.from_prior(("a", "b", "c", "d"), MEAN).learned(left, right).own
    # A variance from 4000 differences has a standard error of 2.2 per cent [sqrt(2 / 4000)].
    assert np.diag(own) == pytest.approx([0.0025] * 3, rel=0.09)
    assert own - np.diag(np.diag(own)) == pytest.approx(np.zeros((3, 3)), abs=2e-4)


def test_the_other_side_by_precisions_instead_of_covariances() -> None:
    """What both sides share is normal; a weighed side tells it by its precision; the other lies about it."""
    model = ShareModel.from_prior(("a", "b", "c", "d"), MEAN, relative_sd=0.1, df=30)
    twins = Twins.from_prior(("a", "b", "c", "d"), MEAN)
    weighed_kg = np.array([[50.0, 25.0, 18.0, 7.0]])
    told = to_coordinates(model.forecast(None, draws=4000, seed=11))[:, 0]
    shared = np.cov(told, rowvar=False)
    centre = told.mean(axis=0)
    known = np.linalg.inv(np.linalg.inv(shared) + np.linalg.inv(twins.own))
    of_animal = centre + known @ np.linalg.inv(twins.own) @ (to_coordinates(weighed_kg)[0] - centre)
    other = to_coordinates(twins.other_side(model, weighed_kg, draws=4000, seed=11))[:, 0]
    spread = known + twins.own
    error = np.sqrt(np.diag(spread) / 4000)
    assert np.all(np.abs(other.mean(axis=0) - of_animal) < 4 * error)
    assert np.cov(other, rowvar=False) == pytest.approx(spread, abs=0.1 * float(np.diag(spread).max()))


def test_every_animal_is_told_by_its_own_side() -> None:
    model = ShareModel.from_prior(("a", "b", "c", "d"), MEAN, relative_sd=0.1, df=30)
    twins = Twins.from_prior(("a", "b", "c", "d"), MEAN)
    lean, fat = np.array([50.0, 30.0, 15.0, 5.0]), np.array([30.0, 30.0, 20.0, 20.0])
    both = twins.other_side(model, np.stack([lean, fat]), draws=2000, seed=2).mean(axis=0)
    usual = MEAN[3] / MEAN.sum()
    assert both[0, 3] < usual < both[1, 3]
    assert both[0, 3] > 0.05 and both[1, 3] < 0.20, (
        "drawn towards the mean, not beyond the side that was weighed"
    )


KG = st.floats(5.0, 90.0)


@st.composite
def sides(draw: st.DrawFn) -> Chain:
    parts = {name: draw(KG) for name in ("cuts", "trim", "bone", "fat")}
    begun_kg = sum(parts.values()) + draw(st.floats(-0.5, 1.5))
    loss = draw(st.floats(0.05, 0.8))
    balance = Balance(begun_kg, parts, Estimate(loss, loss / 2, 2 * loss), draw(st.floats(0.05, 0.5)))
    lost_kg = draw(st.floats(0.5, 9.0))
    chilled = draw(st.none() | st.floats(0.0, 1.0).map(lambda share: begun_kg + share * lost_kg))
    return balance_chain(
        hot_kg=begun_kg + lost_kg, balance=balance, chilled_kg=chilled, usual_chill_share=0.015
    )


@settings(max_examples=120, deadline=None)
@given(chains=st.lists(sides(), min_size=2, max_size=6), cut=st.integers(1, 5))
def test_a_day_added_up_in_two_parts_is_the_day_added_up_at_once(chains: list[Chain], cut: int) -> None:
    cut = min(cut, len(chains) - 1)
    whole = day_chain(chains)
    parts = day_chain([day_chain(chains[:cut]), day_chain(chains[cut:])])
    assert parts.step_kg == pytest.approx(whole.step_kg)
    assert (parts.sides, parts.chill_weighed) == (len(chains), all(one.chill_weighed for one in chains))
    assert parts.balance.tolerance_kg == pytest.approx(whole.balance.tolerance_kg)
    assert sum(whole.step_kg.values()) == pytest.approx(sum(one.hot_kg for one in chains))
    # Digits add as squares: a day of sides is known to less than the sum and to no less than the worst of them.
    worst = max(one.balance.tolerance_kg for one in chains)
    most = sum(one.balance.tolerance_kg for one in chains)
    assert worst - 1e-9 <= whole.balance.tolerance_kg <= most + 1e-9
