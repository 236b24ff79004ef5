"""The bid: worked back from the counter, and what chances must always do."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from gambrel.price.bid import CURVE, BidSpread, bid_from_draws, draws_from_spread
from gambrel.price.fees import LiveChain

STEADY = {
    "hanging_loss_share": 0.05,
    "dressing_share": 0.62,
    "hot_kg": 350.0,
    "fees_cents_per_head": 15_000.0,
    "fees_cents_per_hot_kg": 150.0,
    "margin_share": 0.30,
}


def bid_of(values, **changed):
    return bid_from_draws(value_cents_per_hung_kg=values, **{**STEADY, **changed})


def test_the_bid_undoes_the_live_chain():
    """Pricing your meat cuts, Penn State Extension, 2011, backwards: from the counter to 1.35 live."""
    chain = LiveChain(135, 0.58, 90, 0.65, 0.30)
    bid = bid_from_draws(
        value_cents_per_hung_kg=chain.retail_cents_per_kg * 0.65,
        hanging_loss_share=0.0,
        dressing_share=0.58,
        hot_kg=300.0,
        fees_cents_per_head=0.0,
        fees_cents_per_hot_kg=90.0,
        margin_share=0.30,
    )
    for probability in (0.5, 0.9, 1.0):
        assert bid.at_probability(probability, on="live") == pytest.approx(135)
        assert bid.at_probability(probability, on="rail") == pytest.approx(232.8, abs=0.1)


def test_one_animal_by_hand():
    # 1000 a hung kg is 950 a hot kg; fees 150 + 15000 / 300 = 200; 950 * 0.7 - 200 = 465; live 0.62 of it.
    bid = bid_of(1000.0, hot_kg=300.0)
    assert bid.at_probability(0.9, on="rail") == pytest.approx(465)
    assert bid.at_probability(0.9, on="live") == pytest.approx(465 * 0.62)
    assert bid.chance_of_losing(749.0, on="rail") == 0.0
    assert bid.chance_of_losing(751.0, on="rail") == 1.0
    assert bid.chance_of_missing_margin(466.0, on="rail") == 1.0


def test_the_stated_chance_holds_on_the_draws_themselves():
    values = np.arange(1.0, 101.0) * 10 + 500
    bid = bid_of(values)
    for probability in (0.0, 0.01, 0.5, 0.9, 0.95, 1.0):
        offer = bid.at_probability(probability, on="rail")
        assert np.mean(bid.rail_limit_cents_per_kg >= offer) >= probability
        assert 1 - bid.chance_of_missing_margin(offer, on="rail") >= probability
        dearer = bid.rail_limit_cents_per_kg[bid.rail_limit_cents_per_kg > offer]
        if dearer.size and probability > 0:
            assert np.mean(bid.rail_limit_cents_per_kg >= dearer.min()) < probability


def test_against_the_normal_quantile():
    """With only the value uncertain the bid is linear in it, so its quantile is the normal's."""
    spread = BidSpread((1200.0, 80.0), (0.05, 0.0), (0.62, 0.0), (350.0, 0.0))
    drawn = draws_from_spread(spread, draws=100_000, seed=3)
    bid = bid_from_draws(
        value_cents_per_hung_kg=drawn.value_cents_per_hung_kg,
        hanging_loss_share=drawn.hanging_loss_share,
        dressing_share=drawn.dressing_share,
        hot_kg=drawn.hot_kg,
        fees_cents_per_head=0.0,
        fees_cents_per_hot_kg=150.0,
        margin_share=0.30,
    )
    for probability in (0.5, 0.9, 0.95):
        value = stats.norm.ppf(1 - probability, 1200.0, 80.0)
        assert bid.at_probability(probability, on="rail") == pytest.approx(value * 0.95 * 0.7 - 150, abs=1.5)
    losing = stats.norm.cdf((1000.0 + 150.0) / 0.95, 1200.0, 80.0)
    assert bid.chance_of_losing(1000.0, on="rail") == pytest.approx(losing, abs=0.005)


vectors = st.lists(st.floats(100, 3000), min_size=1, max_size=60)


@given(values=vectors, dressing=st.floats(0.4, 0.75), p=st.floats(0, 1), q=st.floats(0, 1))
def test_more_certainty_never_pays_more(values, dressing, p, q):
    bid = bid_of(values, dressing_share=dressing)
    low, high = sorted((p, q))
    for on in ("live", "rail"):
        assert bid.at_probability(high, on=on) <= bid.at_probability(low, on=on)


@given(values=vectors, one=st.floats(-500, 3000), other=st.floats(-500, 3000))
def test_a_higher_offer_never_loses_less_often(values, one, other):
    bid = bid_of(values)
    low, high = sorted((one, other))
    for on in ("live", "rail"):
        assert bid.chance_of_losing(low, on=on) <= bid.chance_of_losing(high, on=on)
        assert bid.chance_of_losing(high, on=on) <= bid.chance_of_missing_margin(high, on=on)


def test_the_curve_falls():
    spread = BidSpread((1200.0, 80.0), (0.05, 0.005), (0.62, 0.015), (350.0, 40.0))
    drawn = draws_from_spread(spread, draws=2000, seed=1)
    bid = bid_from_draws(
        **{**STEADY, "dressing_share": drawn.dressing_share, "hot_kg": drawn.hot_kg},
        value_cents_per_hung_kg=drawn.value_cents_per_hung_kg,
    )
    curve = bid.curve()
    assert [p for p, _, _ in curve] == list(CURVE)
    for column in (1, 2):
        prices = [row[column] for row in curve]
        assert prices == sorted(prices, reverse=True)
        assert prices[0] > prices[-1]


def test_the_same_seed_draws_the_same_animals():
    spread = BidSpread((1200.0, 80.0), (0.05, 0.005), (0.62, 0.015), (350.0, 40.0))
    one, same, other = (draws_from_spread(spread, draws=50, seed=seed) for seed in (7, 7, 8))
    assert (one.dressing_share == same.dressing_share).all()
    assert (one.dressing_share != other.dressing_share).any()


def test_draws_stay_within_what_can_be():
    drawn = draws_from_spread(
        BidSpread((100.0, 500.0), (0.02, 0.2), (0.7, 0.3), (350.0, 400.0)), draws=5000, seed=1
    )
    assert drawn.value_cents_per_hung_kg.min() >= 0
    assert drawn.hanging_loss_share.min() >= 0
    assert drawn.hanging_loss_share.max() <= 0.5
    assert drawn.dressing_share.max() <= 0.8
    assert drawn.hot_kg.min() > 0


@pytest.mark.parametrize(
    "changed",
    [
        {"dressing_share": 0.0},
        {"dressing_share": 1.2},
        {"hanging_loss_share": -0.1},
        {"hanging_loss_share": 1.0},
        {"hot_kg": 0.0},
        {"margin_share": 1.0},
        {"hot_kg": np.nan},
        {"hot_kg": np.ones((2, 2))},
    ],
)
def test_draws_that_cannot_be_raise(changed):
    with pytest.raises(ValueError, match=r"draws|losses|margin"):
        bid_of([1000.0, 1100.0], **changed)


def test_probabilities_and_bases_that_cannot_be_raise():
    bid = bid_of([1000.0])
    with pytest.raises(ValueError, match="probability"):
        bid.at_probability(1.5, on="rail")
    with pytest.raises(ValueError, match="live or on the rail"):
        bid.at_probability(0.5, on="hook")


def test_draws_are_kept_together_animal_by_animal():
    """Three animals: what is worth more dresses less. The bid is the third animal's sum, not worst with worst.

    Live, at no fees, loss or margin: 800 * 0.66 = 528, 1000 * 0.62 = 620, 1200 * 0.58 = 696.
    """
    plain = {
        "hanging_loss_share": 0.0,
        "fees_cents_per_head": 0.0,
        "fees_cents_per_hot_kg": 0.0,
        "margin_share": 0.0,
    }
    bid = bid_of([800.0, 1000.0, 1200.0], **plain, dressing_share=[0.66, 0.62, 0.58])
    assert bid.at_probability(1.0, on="live") == pytest.approx(528)
    assert bid.at_probability(0.6, on="live") == pytest.approx(620)
    assert bid.at_probability(0.0, on="live") == pytest.approx(696)
    assert bid.chance_of_losing(621.0, on="live") == pytest.approx(2 / 3)


@pytest.mark.parametrize("together", [-0.8, 0.0, 0.8])
def test_value_and_dressing_that_move_together_against_the_normal(together):
    """Live value is value times dressing. Its spread is sqrt(a2 + b2 + 2 r a b), a and b the relative spreads
    (first order: the spreads are 3 and 2 %), so that the bid at 90 in 100 follows from the normal's quantile.
    """
    rng = np.random.default_rng(5)
    pair = rng.multivariate_normal([0, 0], [[1, together], [together, 1]], 100_000)
    bid = bid_from_draws(
        value_cents_per_hung_kg=1000.0 * (1 + 0.03 * pair[:, 0]),
        hanging_loss_share=0.0,
        dressing_share=0.62 * (1 + 0.02 * pair[:, 1]),
        hot_kg=350.0,
        fees_cents_per_head=0.0,
        fees_cents_per_hot_kg=0.0,
        margin_share=0.30,
    )
    spread = np.sqrt(0.03**2 + 0.02**2 + 2 * together * 0.03 * 0.02)
    wanted = 0.7 * 620.0 * (1 + spread * stats.norm.ppf(0.10))
    assert bid.at_probability(0.9, on="live") == pytest.approx(wanted, rel=0.002)


def test_heavy_animals_spread_the_fees_by_the_head():
    # 300.00 a head is 1.00 a kg over 300 kg and .75 over 400 kg: a light animal bears 25 cents less a kg.
    bid = bid_of(1000.0, hot_kg=[300.0, 400.0], fees_cents_per_head=30_000.0)
    light, heavy = bid.rail_limit_cents_per_kg
    assert heavy - light == pytest.approx(25.0)


def test_credits_are_negative_fees():
    # A hide and offal worth .20 a hot kg: the bid on the rail is .20 higher.
    without, with_credit = (bid_of(1000.0, fees_cents_per_hot_kg=fees) for fees in (150.0, 130.0))
    rise = with_credit.at_probability(0.9, on="rail") - without.at_probability(0.9, on="rail")
    assert rise == pytest.approx(20.0)
