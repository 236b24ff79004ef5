"""Fit what tells glare from fat (`gambrel.ribface.glare.WEIGHTS`) on renderings from training seeds.

    python tools/faces/fit_glare.py --first 9600000 --count 200

A bright place of an eye is glare where the light mirrored there outweighs its fat. The weights are those of the
likeliest logistic line, every eye counting by how much of it is bright; they are printed, to be typed in.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from faces.make_set import check_seeds, turned
from faces.render import render_face
from faces.render.arrays import EYE, FAT

from gambrel.ribface.glare import FEATURES, glare_features
from gambrel.ribface.light import light_from_card
from gambrel.ribface.marbling import bright_places
from gambrel.ribface.outline import filled
from gambrel.ribface.plane import find_card
from gambrel.ribface.refuse import Refusal

SIZE = (2016, 1512)
FROM_EACH_EYE = 300
SHINE_OUTWEIGHS_SHARE = 0.6
"""Fat lies about so much of white above the lean."""

MOST_GLARE_SHARE = 0.12
"""Eyes of which more shines are left out: they would outvote the others."""

HELD_DOWN = 1.0
RING_MM = 3.0

Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Seen:
    """Some bright places of one eye: features (n, k), whether each is glare (n,), and the share that is bright."""

    features: Numbers
    is_glare: NDArray[np.bool_]
    bright_share: float


def look(seed: int, size: tuple[int, int] = SIZE) -> Seen | None:
    """Bright places of a rendered seed, its own outline and fat known; None where its card or fat is not seen."""
    made = render_face(seed, size=turned(size, seed), want="good", fat_map=True)
    card = find_card(made.bgr)
    light = card if isinstance(card, Refusal) else light_from_card(made.bgr, card)
    if isinstance(light, Refusal) or made.fat_map is None or made.shine_map is None:
        return None
    linear = np.minimum(light.linear(made.bgr), 1)
    px_per_mm = made.truth["camera"]["px_per_cm_at_eye"] / 10
    inside = filled(np.array(made.truth["eye_outline_px"]), made.labels.shape)
    reach = 2 * round(RING_MM * px_per_mm) + 1
    ring = (cv2.dilate(inside.astype(np.uint8), np.ones((reach, reach), np.uint8)) > 0) & (made.labels == FAT)
    if np.count_nonzero(ring) < 50:
        return None
    fat = np.median(linear[ring], axis=0).astype(float)
    places = bright_places(linear, inside & (made.labels == EYE), px_per_mm=px_per_mm, fat_linear=fat)
    if places is None or not places.bright.any():
        return None
    seen = glare_features(
        places.soft, places.lean, places.fat_linear, places.step, places.bright, px_per_mm=px_per_mm
    )
    is_glare = made.shine_map[places.bright] > SHINE_OUTWEIGHS_SHARE * made.fat_map[places.bright]
    pick = np.random.default_rng(seed).choice(len(is_glare), min(FROM_EACH_EYE, len(is_glare)), replace=False)
    share = float(np.count_nonzero(places.bright) / np.count_nonzero(places.eye))
    return Seen(seen.T[pick].astype(float), is_glare[pick], share)


def fit(eyes: list[Seen]) -> tuple[Numbers, float]:
    """Weights (k,) and offset of the likeliest line; above 0 is glare."""
    eyes = [each for each in eyes if each.bright_share * np.mean(each.is_glare) < MOST_GLARE_SHARE]
    features = np.concatenate([each.features for each in eyes])
    sign = np.where(np.concatenate([each.is_glare for each in eyes]), 1.0, -1.0)
    worth = np.concatenate(
        [np.full(len(e.is_glare), (e.bright_share + 0.002) / len(e.is_glare)) for e in eyes]
    )
    worth /= worth.mean()
    middle, spread = features.mean(axis=0), features.std(axis=0) + 1e-9
    scaled = np.column_stack([(features - middle) / spread, np.ones(len(features))])

    def unlikely(weights: Numbers) -> tuple[float, Numbers]:
        agrees = sign * (scaled @ weights)
        pull = np.append(HELD_DOWN * weights[:-1], 0.0)
        slope = -scaled.T @ (worth * sign / (1 + np.exp(agrees)))
        return float(worth @ np.logaddexp(0, -agrees) + pull[:-1] @ weights[:-1]), slope + 2 * pull

    found = minimize(unlikely, np.zeros(scaled.shape[1]), jac=True, method="L-BFGS-B").x
    return found[:-1] / spread, float(found[-1] - found[:-1] @ (middle / spread))


def main() -> None:
    parser = argparse.ArgumentParser(description="Fit what tells glare from fat.")
    parser.add_argument("--first", type=int, required=True, help="first seed")
    parser.add_argument("--count", type=int, required=True)
    given = parser.parse_args()
    check_seeds(given.first, given.count)
    eyes = [
        seen for seed in range(given.first, given.first + given.count) if (seen := look(seed)) is not None
    ]
    weights, offset = fit(eyes)
    for name, weight in zip(FEATURES, weights, strict=True):
        print(f"{name:22} {weight:8.3g}")
    print(f"{'offset':22} {offset:8.3g}    from {len(eyes)} eyes")


if __name__ == "__main__":
    main()
