"""The share model on real cattle that were cut into 15 parts, both sides weighed: accuracy and honesty.

The table has no stated licence, so it is not part of the project; without it these tests skip.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest

from gambrel.breakdown import ShareModel
from gambrel.breakdown.composition import to_coordinates, to_shares

TABLE = Path(__file__).resolve().parents[3] / "shared" / "data" / "korean-cuts.csv"
PARTS = (
    "tenderloin",
    "sirloin",
    "striploin",
    "chuck_roll",
    "front_shank",
    "top_round",
    "bottom_round",
    "brisket",
    "hind_shank",
    "ribs",
    "bone_marrow",
    "tail",
    "knee_bone",
    "other_bones",
    "rib_bone",
)
# Round figures guessed before looking, from memory; the model must be honest with no better book than this.
BOOK = np.array([2, 10, 3, 6, 8, 7, 11, 20, 5, 14, 4, 3, 0.5, 5, 1.5]) / 100.0
COVARIATES = ("carcass_kg", "sex", "fat_share")
TRAINED_ON = 10
SPLITS = 20

pytestmark = pytest.mark.skipif(not TABLE.exists(), reason="the measured cattle table is not on this machine")


@pytest.fixture(scope="module")
def cattle() -> tuple[np.ndarray, np.ndarray]:
    """Shares (44, 15) and covariates (44, 3): weight, sex as a number, trimmed fat over the carcass."""
    with TABLE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    kg = np.array([[float(row[f"total_{part}_total"]) for part in PARTS] for row in rows])
    fat = np.array([sum(float(row.get(f"total_{part}_fat") or 0.0) for part in PARTS) for row in rows])
    sexes = sorted({row["sex"] for row in rows})
    sex = np.array([float(sexes.index(row["sex"])) for row in rows])
    weight = np.array([float(row["carcass_kg"]) for row in rows])
    total = kg.sum(axis=1)
    return kg / total[:, None], np.stack([weight, sex, fat / total], axis=1)


def splits(count: int) -> list[tuple[np.ndarray, np.ndarray]]:
    orders = [np.random.default_rng(seed).permutation(count) for seed in range(SPLITS)]
    return [(order[:TRAINED_ON], order[TRAINED_ON:]) for order in orders]


def inside(model: ShareModel, shares: np.ndarray, x: np.ndarray, seed: int) -> float:
    low, high = np.percentile(model.forecast(x, draws=2000, seed=seed), (5, 95), axis=0)
    return float(((shares >= low) & (shares <= high)).mean())


def test_ten_carcasses_forecast_the_rest(cattle: tuple[np.ndarray, np.ndarray]) -> None:
    from sklearn.linear_model import RidgeCV

    shares, x = cattle
    errors, ridge_errors, held = [], [], []
    for seed, (known, rest) in enumerate(splits(len(shares))):
        model = ShareModel.from_prior(PARTS, BOOK, worth=3, covariates=COVARIATES).update(
            shares[known], x[known]
        )
        mean = model.forecast(x[rest], draws=2000, seed=seed).mean(axis=0)
        errors.append(100 * np.abs(mean - shares[rest]).mean())
        held.append(inside(model, shares[rest], x[rest], seed))
        z = (x - x[known].mean(axis=0)) / x[known].std(axis=0)
        ridge = RidgeCV(alphas=np.logspace(-2, 2, 13)).fit(z[known], to_coordinates(shares[known]))
        ridge_errors.append(100 * np.abs(to_shares(ridge.predict(z[rest])) - shares[rest]).mean())
    assert np.mean(errors) <= 0.36
    assert np.mean(errors) <= np.mean(ridge_errors)
    assert 0.85 <= np.mean(held) <= 0.95


def test_the_book_alone_is_honest(cattle: tuple[np.ndarray, np.ndarray]) -> None:
    shares, x = cattle
    model = ShareModel.from_prior(PARTS, BOOK, worth=3, covariates=COVARIATES)
    assert inside(model, shares, x, seed=1) >= 0.85
