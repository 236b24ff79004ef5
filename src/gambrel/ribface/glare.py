"""Glare told from fat among the bright places of the eye.

Fat puts its own colour in place of the lean's; a wet film adds the lamp's light, white after balancing, on top of it.
So a bright place steps away from the lean towards the fat's colour or towards white. Both directions are known
only to a few degrees (lamps mix, marbling may be whiter than the cover), so they are found anew in each eye as the
two heaps in which its bright places lie, and what else marks glare is weighed in: it is uneven, narrow, and can be
brighter than fat in every colour.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

POOL_MM = 0.4
"""Colour and unevenness are judged over this much around a place: one pixel's are lost in noise."""

JUDGED_PX_PER_MM = 2.5
UNSURE_SCORE = 1.5
"""Glare and fat with a score nearer to 0 than this are easily taken for each other."""

REACH_MM = 0.7

PRIOR_DEG, SPREAD_DEG = 3.0, 2.5
"""How far the two directions lie from where cover and card say, and how far single places scatter about them."""

PLACES = 30.0
"""The eye's bright places count as so many: they are far from independent."""

GLARE_SHARE = 0.25
"""Share of the bright places that is glare, before looking."""

FEATURES = ("off_fat_deg", "off_white_deg", "two_lights", "apart", "white_moved_deg", "least_channel_to_fat",
            "uneven", "wide_mm", "over_share")  # fmt: skip
WEIGHTS = (-0.0973, -0.11, 0.169, 0.886, -0.0515, 1.8, 2.0, -1.92, 9.06)
OFFSET = -2.2
"""Fitted by `python tools/faces/fit_glare.py` on renderings from training seeds, the offset 1.05 above the likeliest:
so as much glare is taken for fat as fat for glare."""


@dataclass(frozen=True)
class TwoLights:
    """Where the steps lie between fat (0) and white: middle and scatter of both heaps [degrees], glare's share."""

    fat_deg: float
    white_deg: float
    fat_spread_deg: float
    white_spread_deg: float
    glare_share: float

    def odds(self, off_deg: Floats) -> Floats:
        """Logarithm of how much more likely each step is glare than fat."""
        to_white = (off_deg - self.white_deg) / self.white_spread_deg
        to_fat = (off_deg - self.fat_deg) / self.fat_spread_deg
        start = np.log(
            self.glare_share / (1 - self.glare_share) * self.fat_spread_deg / self.white_spread_deg
        )
        return np.asarray(np.clip(start + 0.5 * (to_fat**2 - to_white**2), -6, 6), dtype=np.float32)

    @property
    def apart(self) -> float:
        return min(5.0, (self.white_deg - self.fat_deg) / (self.fat_spread_deg + self.white_spread_deg))


def find_glare(
    soft: Floats, lean: Floats, fat_linear: Floats, step: Floats, bright: Mask, *, px_per_mm: float
) -> tuple[Mask, float]:
    """Which of the `bright` places (H, W) are glare, and the share of them that could as well be the other.

    `soft` and `lean` (H, W, 3) in linear light, white 1; `step` (H, W) the share of the way from lean to fat. Judged
    on every so manieth pixel, for glare is told by what is around a pixel.
    """
    by = max(1, round(px_per_mm / JUDGED_PX_PER_MM))
    some = np.ascontiguousarray(bright[::by, ::by])
    if not some.any():
        return np.zeros_like(bright), 0.0
    seen = glare_features(np.ascontiguousarray(soft[::by, ::by]), np.ascontiguousarray(lean[::by, ::by]), fat_linear,
                          np.ascontiguousarray(step[::by, ::by]), some, px_per_mm=px_per_mm / by)  # fmt: skip
    score = np.array(WEIGHTS, np.float32) @ seen + np.float32(OFFSET)
    field = np.zeros(some.shape, np.float32)
    field.ravel()[np.flatnonzero(some)] = score
    # Beside the bright places their mean stands, and only whether that is above 0 counts.
    glare = np.where(some, field, cv2.blur(field, (3, 3))) > 0
    high, wide = bright.shape
    if by > 1:
        glare = np.repeat(np.repeat(glare, by, axis=0), by, axis=1)[:high, :wide]
    return bright & glare, float(np.mean(np.abs(score) < UNSURE_SCORE))


def glare_features(
    soft: Floats, lean: Floats, fat_linear: Floats, step: Floats, bright: Mask, *, px_per_mm: float
) -> Floats:
    """What is known of each bright place (features, n), in the order of `FEATURES` and of `bright`."""
    at = np.flatnonzero(bright)  # taking by number is several times quicker than by mask
    dark = np.ascontiguousarray(lean.reshape(-1, 3).take(at, axis=0).T)
    to_fat = fat_linear[:, None] - dark
    to_fat /= np.maximum(_length(to_fat), 1e-6)
    cosine = (to_fat[0] + to_fat[1] + to_fat[2]) / np.float32(np.sqrt(3))
    angle = np.degrees(np.arccos(np.clip(cosine, -1, 1)))
    aside = np.float32(1 / np.sqrt(3)) - cosine * to_fat
    aside /= np.maximum(_length(aside), 1e-6)
    away = soft.reshape(-1, 3).take(at, axis=0).T - dark
    weight = np.maximum(step.take(at), 0)
    along, across = _dot(away, to_fat) * weight, _dot(away, aside) * weight
    reach = POOL_MM * px_per_mm
    pooled = _pooled(at, [along, across, weight, weight**2], bright.shape, reach)
    mean, square = pooled[2:] / np.maximum(_pooled(at, [np.ones_like(weight)], bright.shape, reach), 1e-3)
    off = np.clip(np.degrees(np.arctan2(pooled[1], pooled[0])), -25, 40)
    middle = float(np.median(angle))
    lights = two_lights(off, weight, middle)
    darkest = np.minimum(np.minimum(soft[..., 0], soft[..., 1]), soft[..., 2])
    least = highest_near(darkest, px_per_mm).take(at)
    width = np.asarray(cv2.distanceTransform(bright.astype(np.uint8), cv2.DIST_L2, 3), np.float32) / px_per_mm
    one = np.ones_like(off)
    rows = [off, np.clip(angle - off, -25, 40), lights.odds(off) * lights.apart, lights.apart * one,
            (lights.white_deg - middle) * one, np.minimum(least / max(float(fat_linear.min()), 0.05), 1.6),
            np.sqrt(np.maximum(square - mean**2, 0)) / np.maximum(mean, 0.05), highest_near(width, px_per_mm).take(at),
            float(np.mean(weight > 1.25)) * one]  # fmt: skip
    return np.stack(rows).astype(np.float32)


def _dot(one: Floats, other: Floats) -> Floats:
    """Sum of products over the three channels (3, n) to (n,)."""
    return np.asarray(one[0] * other[0] + one[1] * other[1] + one[2] * other[2])


def _length(channels: Floats) -> Floats:
    return np.asarray(np.sqrt(_dot(channels, channels)))


def two_lights(off_deg: Floats, weight: Floats, white_deg: float) -> TwoLights:
    """The two heaps in which the steps lie, from where they are expected: fat at 0, glare at `white_deg`.

    Expectation and maximisation for two bell curves, each held to its expected place (Dempster, Laird and Rubin,
    Journal of the Royal Statistical Society B 1977, 39:1).
    """
    count, edges = np.histogram(off_deg, bins=180, range=(-25, 40), weights=weight)
    at = (edges[1:] + edges[:-1]) / 2
    heap = count / max(float(count.sum()), 1e-9) * PLACES
    now = TwoLights(0.0, white_deg, SPREAD_DEG, SPREAD_DEG, GLARE_SHARE)
    for _ in range(25):
        glare = heap / (1 + np.exp(-now.odds(at.astype(np.float32)).astype(float)))
        fat = heap - glare
        fat_deg, fat_spread = _heap(at, fat, 0.0, now.fat_spread_deg)
        glare_deg, glare_spread = _heap(at, glare, white_deg, now.white_spread_deg)
        share = (float(glare.sum()) + 1.5) / (PLACES + 6)
        now = TwoLights(fat_deg, glare_deg, fat_spread, glare_spread, share)
    return now


def _heap(
    at: NDArray[np.float64], heap: NDArray[np.float64], expected: float, spread: float
) -> tuple[float, float]:
    """Middle and scatter of one heap, pulled to what is expected."""
    size, pull = float(heap.sum()), (spread / PRIOR_DEG) ** 2
    middle = (float(heap @ at) + pull * expected) / (size + pull)
    scatter = float(heap @ (at - middle) ** 2) + 4 * SPREAD_DEG**2
    return middle, float(np.sqrt(scatter / (size + 4)))


def _pooled(at: NDArray[np.intp], values: list[Floats], shape: tuple[int, ...], reach_px: float) -> Floats:
    """Soft sums (k, n) of values (n,) at the places numbered `at` of a picture of `shape` over their neighbourhood."""
    field = np.zeros(shape, np.float32)
    sums = []
    for each in values:
        field.ravel()[at] = each
        sums.append(cv2.GaussianBlur(field, (0, 0), reach_px).take(at))
    return np.stack(sums)


def highest_near(values: Floats, px_per_mm: float) -> Floats:
    """The highest value within `REACH_MM` of each place."""
    reach = 2 * max(1, round(REACH_MM * px_per_mm)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    return np.asarray(cv2.dilate(values, disc), dtype=np.float32)
