"""How fast the yields are learned, on measured cattle: error and coverage after 0 to 30 animals, beside plain rivals.

The table of measured cattle has no stated licence and is no part of the project; without it there is nothing to do.
`python tools/learning_curves.py` prints the table that stands in docs/learning.md and draws docs/learning-curves.svg.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown import ShareModel
from gambrel.breakdown.composition import to_coordinates, to_shares
from gambrel.files.drawing.axis import Scale, round_marks
from gambrel.files.drawing.colours import CURVE, LINE, OVER, QUIET
from gambrel.files.drawing.svg import label, line, picture, polyline
from gambrel.learn.twins import Twins
from gambrel.learn.way_tests import way_tests
from gambrel.learn.yields import YieldModel
from gambrel.measures.units import KG_PER_LB

Floats = NDArray[np.float64]

TABLE = Path(__file__).resolve().parents[2] / "shared" / "data" / "korean-cuts.csv"
PLOT = Path(__file__).resolve().parents[1] / "docs" / "learning-curves.svg"
PARTS = ("tenderloin", "sirloin", "striploin", "chuck_roll", "front_shank", "top_round", "bottom_round", "brisket",
         "hind_shank", "ribs", "bone_marrow", "tail", "knee_bone", "other_bones", "rib_bone")  # fmt: skip
# Round figures guessed before looking, from memory.
BOOK = np.array([2, 10, 3, 6, 8, 7, 11, 20, 5, 14, 4, 3, 0.5, 5, 1.5]) / 100.0
COVARIATES = ("carcass_kg", "sex", "fat_share")
ANIMALS = (0, 3, 5, 10, 20, 30)
DRAWS = 1000
_FEWEST_FOR_SLOPES = 4


@dataclass(frozen=True)
class Cattle:
    """Weights of both sides and of the sides (animals, parts) in kg; covariates (animals, 3)."""

    left_kg: Floats
    right_kg: Floats
    both_kg: Floats
    covariates: Floats

    @property
    def shares(self) -> Floats:
        return _shares(self.both_kg)


def read_cattle() -> Cattle:
    with TABLE.open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))

    def kg(side: str) -> Floats:
        return np.array([[float(row[f"{side}_{part}_total"] or 0.0) for part in PARTS] for row in rows])

    fat = np.array([sum(float(row.get(f"total_{part}_fat") or 0.0) for part in PARTS) for row in rows])
    sexes = sorted({row["sex"] for row in rows})
    sex = [float(sexes.index(row["sex"])) for row in rows]
    weight = [float(row["carcass_kg"]) for row in rows]
    both = kg("total")
    return Cattle(kg("left"), kg("right"), both, np.stack([weight, sex, fat / both.sum(axis=1)], axis=1))


def learn_yields(kg: Floats, x: Floats) -> ShareModel:
    """A forecast model from tests (n, parts) in kg, covariates standardised by these tests alone."""
    covariates = len(COVARIATES)
    if len(x) < _FEWEST_FOR_SLOPES:
        centre, scale = np.zeros(covariates), np.full(covariates, np.inf)
    else:
        centre, spread = np.median(x, axis=0), x.std(axis=0)
        scale = np.where(spread > 0.0, spread, np.inf)
    book = ShareModel.from_prior(PARTS, BOOK, covariates=COVARIATES, centre=centre, scale=scale)
    model = YieldModel.book(book)
    if len(kg):
        model = model.learned(way_tests(PARTS, kg, BOOK / BOOK.sum(), covariates=(x - centre) / scale))
    return model.forecast_model(book, {})


def plain_mean(kg: Floats, x: Floats, of: Floats) -> Floats:
    shares = kg / kg.sum(axis=1, keepdims=True)
    return np.repeat(shares.mean(axis=0)[None], len(of), axis=0)


def ridge(kg: Floats, x: Floats, of: Floats) -> Floats:
    from sklearn.linear_model import RidgeCV  # type: ignore[import-untyped]

    scale = np.where(x.std(axis=0) > 0.0, x.std(axis=0), 1.0)
    z, z_of = (x - x.mean(axis=0)) / scale, (of - x.mean(axis=0)) / scale
    fitted = RidgeCV(alphas=np.logspace(-2, 2, 13)).fit(z, to_coordinates(np.maximum(kg, 1e-3)))
    return to_shares(np.asarray(fitted.predict(z_of)))


def corrupted(kg: Floats, rng: np.random.Generator) -> Floats:
    """A tenth of the tests spoiled, one at the least: a part missing, or one weighed in the other unit."""
    spoiled = kg.copy()
    for row in rng.choice(len(kg), size=max(1, round(0.1 * len(kg))), replace=False):
        part = rng.integers(kg.shape[1])
        spoiled[row, part] *= rng.choice([0.0, KG_PER_LB, 1.0 / KG_PER_LB])
    return spoiled


@dataclass(frozen=True)
class Point:
    """Mean absolute error in points of the carcass, and coverage of the 90 % intervals in percent."""

    animals: int
    error_pct: float
    coverage_pct: float
    mean_error_pct: float
    ridge_error_pct: float


def point(cattle: Cattle, animals: int, splits: int, spoil: bool = False) -> Point:
    """Averages over random splits of the animals into those learned from and the rest."""
    errors, held, means, ridges = [], [], [], []
    for seed in range(splits):
        rng = np.random.default_rng(seed)
        order = rng.permutation(len(cattle.both_kg))
        known, rest = order[:animals], order[animals:]
        kg, x = cattle.both_kg[known], cattle.covariates[known]
        if spoil and animals:
            kg = corrupted(kg, rng)
        truth, of = cattle.shares[rest], cattle.covariates[rest]
        draws = learn_yields(kg, x).forecast(of, draws=DRAWS, seed=seed)
        low, high = np.percentile(draws, (5, 95), axis=0)
        errors.append(_error(draws.mean(axis=0), truth))
        held.append(100.0 * float(np.mean((truth >= low) & (truth <= high))))
        if animals:
            means.append(_error(plain_mean(kg, x, of), truth))
            ridges.append(_error(ridge(kg, x, of), truth))
    nothing = float("nan")
    return Point(animals, float(np.mean(errors)), float(np.mean(held)), float(np.mean(means)) if means else nothing,
                 float(np.mean(ridges)) if ridges else nothing)  # fmt: skip


def other_side(cattle: Cattle, splits: int, animals: int = 20) -> tuple[float, float]:
    """Error of the right side foretold from the left, and the difference of the two sides; points of the side."""
    errors, differences = [], []
    for seed in range(splits):
        order = np.random.default_rng(seed).permutation(len(cattle.both_kg))
        known, rest = order[:animals], order[animals:]
        left, right = _shares(cattle.left_kg[rest]), _shares(cattle.right_kg[rest])
        model = learn_yields(cattle.both_kg[known], cattle.covariates[known])
        twins = Twins.from_prior(PARTS).learned(cattle.left_kg[known], cattle.right_kg[known])
        foretold = twins.other_side(model, left, cattle.covariates[rest], draws=DRAWS, seed=seed).mean(axis=0)
        errors.append(_error(foretold, right))
        differences.append(_error(left, right))
    return float(np.mean(errors)), float(np.mean(differences))


def _shares(kg: Floats) -> Floats:
    return np.asarray(kg / kg.sum(axis=1, keepdims=True))


def _error(foretold: Floats, truth: Floats) -> float:
    return 100.0 * float(np.abs(foretold - truth).mean())


ROW = "| {0} | {1:.3f} | {2:.1f} | {3} | {4} | {5:.3f} | {6:.1f} | {7} |"


def row_of(clean: Point, spoiled: Point) -> str:
    """A line of the table in docs/learning.md."""
    rivals = [f"{one:.3f}" if clean.animals else "–" for one in
              (clean.mean_error_pct, clean.ridge_error_pct, spoiled.ridge_error_pct)]  # fmt: skip
    return ROW.format(clean.animals, clean.error_pct, clean.coverage_pct, rivals[0], rivals[1], spoiled.error_pct,
                      spoiled.coverage_pct, rivals[2])  # fmt: skip


def curves_svg(points: Sequence[tuple[Point, Point]]) -> str:
    """Error against the number of animals: learned, learned from spoiled tests, plain mean, ridge, ridge spoiled."""
    across, down = Scale(0.0, 30.0, 70.0, 520.0), Scale(0.0, 0.8, 340.0, 40.0)
    lines: list[tuple[str, str, str | None, list[float]]] = [
        ("learned", CURVE, None, [clean.error_pct for clean, _ in points]),
        ("learned, spoiled", CURVE, "6 4", [spoiled.error_pct for _, spoiled in points]),
        ("plain mean", QUIET, None, [clean.mean_error_pct for clean, _ in points]),
        ("ridge", OVER, None, [clean.ridge_error_pct for clean, _ in points]),
        ("ridge, spoiled", OVER, "6 4", [spoiled.ridge_error_pct for _, spoiled in points]),
    ]
    drawn = []
    for mark in round_marks(0.0, 0.8, 4):
        drawn += [line((70.0, down.at(mark)), (520.0, down.at(mark)), stroke=LINE),
                  label(62.0, down.at(mark) + 5.0, f"{mark:g}", size=14, anchor="end")]  # fmt: skip
    drawn += [label(across.at(clean.animals), 362.0, str(clean.animals), size=14, anchor="middle")
              for clean, _ in points]  # fmt: skip
    for number, (name, colour, dash, errors) in enumerate(lines):
        places = [(across.at(clean.animals), down.at(min(error, 0.8))) for (clean, _), error in
                  zip(points, errors, strict=True) if error == error]  # fmt: skip
        drawn.append(polyline(places, stroke=colour, stroke_width=2.5, stroke_dasharray=dash))
        y = 60.0 + 24.0 * number
        drawn += [line((540.0, y - 5.0), (575.0, y - 5.0), stroke=colour, width=2.5, dash=dash),
                  label(582.0, y, name, size=15)]  # fmt: skip
    drawn += [label(70.0, 24.0, "mean error, points of the carcass", size=15),
              label(295.0, 386.0, "animals learned from", size=15, anchor="middle")]  # fmt: skip
    desc = "Error against the number of animals; errors beyond 0.8 points are cut off."
    return picture(720.0, 400.0, *drawn, title="How fast yields are learned", desc=desc)


def main(splits: int) -> None:
    cattle = read_cattle()
    points = []
    for animals in ANIMALS:
        points.append((point(cattle, animals, splits), point(cattle, animals, splits, spoil=True)))
        print(row_of(*points[-1]), flush=True)
    PLOT.write_text(curves_svg(points), encoding="utf-8")
    error, difference = other_side(cattle, splits)
    print(f"the other side to within {error:.3f} points; the two sides differ by {difference:.3f}")


if __name__ == "__main__":
    if not TABLE.exists():
        sys.exit("the table of measured cattle is not on this machine")
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 12)
