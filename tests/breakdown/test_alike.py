"""A cut that comes out of several pieces: what was learned of it holds in all of them alike."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.breakdown import ShareModel, forecast_side
from gambrel.breakdown.composition import ilr_basis, to_coordinates
from gambrel.breakdown.forecast import book_model
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import shipped_tree

KINDS, TREE, CUTS = shipped_kinds(), shipped_tree().trimmed("close"), shipped_cuts()
PARTS, MEAN = ("roll", "stew", "trim", "bone"), np.array([0.4, 0.3, 0.2, 0.1])
SPREAD = np.array([0.05, 0.08, 0.15, 0.10])


def a_model() -> ShareModel:
    return ShareModel.from_prior(PARTS, MEAN, worth=1e6, relative_sd=SPREAD, df=1e6)


@settings(max_examples=10, deadline=None)
@given(seed=st.integers(0, 1000))
def test_given_deviates_spread_a_model_as_its_own_do(seed: int) -> None:
    """Parts of independent log-normal spread: the covariance of the coordinates is B diag(sd2) B'."""
    rng = np.random.default_rng(seed)
    shares = a_model().draw(None, draws=20_000, rng=rng, normals=rng.standard_normal((20_000, 4)))[:, 0]
    basis = ilr_basis(4)
    wanted = (basis * SPREAD**2) @ basis.T
    found = np.cov(to_coordinates(shares), rowvar=False)
    assert found == pytest.approx(wanted, abs=0.05 * float(np.max(np.diag(wanted))))


def test_shares_still_add_to_one_and_the_middle_stays() -> None:
    rng = np.random.default_rng(1)
    shares = a_model().draw(None, draws=20_000, rng=rng, normals=rng.standard_normal((20_000, 4)))[:, 0]
    assert shares.sum(axis=1) == pytest.approx(1.0, abs=1e-12)
    assert np.median(shares, axis=0) == pytest.approx(MEAN, rel=0.01)


def test_two_models_given_the_same_deviates_go_together_part_by_part() -> None:
    """Parts of equal spread s drawn apart have logs s (u - mean u); drawn by the same u the two are the same."""
    rng = np.random.default_rng(2)
    first = ShareModel.from_prior(PARTS, MEAN, worth=1e6, relative_sd=0.1, df=1e6)
    second = ShareModel.from_prior(PARTS, MEAN[::-1], worth=1e6, relative_sd=0.1, df=1e6)
    normals = rng.standard_normal((4000, 4))
    logs = [np.log(model.draw(None, draws=4000, rng=rng, normals=normals)[:, 0]) for model in (first, second)]
    centred = [one - one.mean(axis=1, keepdims=True) for one in logs]
    by_hand = 0.1 * (normals - normals.mean(axis=1, keepdims=True))
    for one in centred:
        off = one - one.mean(axis=0) - by_hand + by_hand.mean(axis=0)
        assert float(np.abs(off).max()) < 0.01


def _learned_spread(chosen: str) -> tuple[float, float, float]:
    """Marrow bones out of every piece that holds them, as a share of the mean: the spread of the whole; what it were
    if the sources went all together; and if they went apart. Every way is as sure as the book is."""
    kind = KINDS["grain-finished"]
    animal = Animal(kind, "steer", 380.0, fat_mm=kind.fat_mm.mean, ribeye_cm2=kind.ribeye_cm2.mean,
                    kph_pct=kind.kph_pct.mean)  # fmt: skip
    ways = TREE.style("boneless", "cattle")
    used = TREE.reached(ways, "cattle")
    learned = {(way.piece, way.name): book_model(way, animal) for way in used}
    told = forecast_side(animal, ways, tree=TREE, cuts=CUTS, hung_kg=np.full(6000, 180.0), seed=3,
                         learned=learned if chosen == "learned" else None)  # fmt: skip
    sources = [way for way in used if "marrow-bones" in way.outputs]
    assert len(sources) > 1
    usual = np.array([[kind.fat_mm.mean, kind.ribeye_cm2.mean * 100.0 / kind.hot_kg.mean, kind.kph_pct.mean]])
    means, spreads = [], []
    for way in sources:
        alone = learned[way.piece, way.name].forecast(usual, draws=6000, seed=5)[:, 0]
        share = alone[:, learned[way.piece, way.name].parts.index("marrow-bones")]
        means.append(float(told.broken_kg[way.piece].mean()) * float(np.median(share)))
        spreads.append(_width(np.log(share)))
    weight = np.array(means) / sum(means)
    return (
        _width(np.log(told.kg["marrow-bones"])),
        float(weight @ spreads),
        float(np.sqrt(np.square(weight) @ np.square(spreads))),
    )


def _width(values: np.ndarray) -> float:
    """From the 25th to the 75th percentile: tails are heavy before any test."""
    low, high = np.percentile(values, (25, 75))
    return float(high - low)


def test_a_learned_cut_out_of_several_pieces_is_as_unsure_as_one_of_them() -> None:
    whole, together, apart = _learned_spread("learned")
    assert apart < 0.85 * together
    assert whole == pytest.approx(together, rel=0.1)


def test_by_the_book_the_sources_go_their_own_ways() -> None:
    learned, _, _ = _learned_spread("learned")
    book, _, _ = _learned_spread("book")
    assert book < learned
