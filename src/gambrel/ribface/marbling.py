"""Marbling: the share of the eye that is fat, flecks and threads included, glare left out.

Worked in linear light, for there the light of a pixel is the sum of what is in it. The lean's own slow shading
is taken out and each pixel's step towards fat is measured along the line from lean to fat. What steps towards white
instead is glare. What is left is weighed, not only counted: a pixel half-way to fat is half covered.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.glare import find_glare, highest_near
from gambrel.ribface.lean import lean_field

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

EDGE_MM = 0.45
"""Rim of the eye left out: there seam fat and lean share a pixel."""

SOFTEN_MM = 0.15
"""Noise is softened at this scale; finer than a thread."""

FAT_FROM_SHARE = 0.17
"""A faint place this far on the way from lean to cover fat may be fat: threads are thinner than the blur and let
lean shine through. Set on rendered faces with the outline known."""

OWN_FAT_FROM_SHARE = 0.18
"""The same where the eye's own deposits stand in for cover fat. Set on labelled points of real crops."""

PEAK_SHARE = 0.45
"""The edge of a deposit lies where it has fallen to this share of its own highest step: a clear deposit is then
measured to its true edge, and a thread that the blur has made faint is not lost."""

MOST_LEVEL = 0.5
"""The edge is never higher than half-way to cover fat."""

NOISE_TIMES = 3.0
"""And at least this many times the noise of the lean."""

CORE_MM = 0.25
FEW_CORES = 15
CORE_STEPS = (0.6, 0.9, 1.2)
"""How far the middle of broad deposits lies on the way to cover fat: least, usual, most. Marbling is whiter or
paler than the cover."""

LEVEL_FROM_SHARE = 0.3
"""Where broad deposits are looked for before their edges are known."""

AROUND_MM = 0.4
"""The light of a deposit is gathered from so far about it: the lens spreads it."""

BLUR_MM = (0.55, 1.0)
FULL_FROM_SHARE, OVER_PEAK = (0.58, 1.0), (1.02, 1.5)
"""A pixel is full at the level of the cores, a faint deposit already at this share of that, or a little over its own
peak, for thin fat lets lean shine through. The second figures are those of a blurred picture, edges `BLUR_MM` wide:
there a faint deposit is one that the lens has spread."""

BESIDE_GLARE = 0.5
"""Within this much of the width of a sharp edge beside glare nothing is told: the lens has spread the glare there, and
its paler rim would pass for fat."""

BRIGHTER_THAN_FAT = 1.25
"""Brighter than cover fat by this is glare whatever its colour, where white is not known."""

MOST_GLARE_SHARE = 0.25
"""An eye of which more than this seems glare is a rich one: no one takes a picture of an eye that shines so."""

LEAST_FAT_TO_LEAN = 3.0
"""Deposits that stand out less than this from the lean (green light) are not taken as the colour of fat."""

HAZE_MM = 3.0
"""A lift wider than this and no more than `HAZE_LIMIT_SHARE` of the way to fat is haze, not marbling."""

HAZE_LIMIT_SHARE = 0.5

STRONG_SHARE = 0.45

FINE_PER_MM = (0.6, 1.4)
FINE_PCT_MM = 8.0
FINE_IN_RICH_PCT = (8.0, 15.0)
"""Pixels that a deposit covers in part are taken for more than they are where deposits are fine and many: with so
much edge to the area of a rich eye [mm/mm2], first figure, the share is too high by so many points for each mm/mm2
above; more than the second was not met. Fitted on rendered faces of even held-back seeds. It counts in full from
the second share on, and not below the first."""

RICH_PCT = (10.0, 15.0)
"""Haze is looked for below the first share of strong fat and not above the second: there deposits run together."""

USUAL_FAT_TO_LEAN = (6.5, 6.0, 2.7)
"""Fat over lean in linear light, B, G, R, where no fat is seen: common values of rendered and real faces."""


@dataclass(frozen=True)
class Marbling:
    """`share_pct` of the eye; `fat` and `glare` (H, W) on the picture given; colours in linear B, G, R."""

    share_pct: float
    spread_pct: float
    glare_pct: float
    fat: Mask
    glare: Mask
    lean: Mask
    lean_linear: NDArray[np.float64]
    fat_linear: NDArray[np.float64]
    noise_share: float


def measure_marbling(
    linear: Floats,
    inside: Mask,
    *,
    px_per_mm: float,
    fat_linear: NDArray[np.float64] | None = None,
    balanced: bool = True,
    blur_mm: float = 0.3,
) -> Marbling | None:
    """Marbling in the mask `inside` (H, W) of a picture in linear light (H, W, 3), or None where too small.

    `fat_linear` is the colour of the fat beside the eye (3,), B, G, R; without it the brightest deposits in
    the eye stand in. `balanced` says that white is known, so that glare can be told by its colour. `blur_mm`
    is how wide a sharp edge looks. Light above white counts as white, as it does in the colour of the cover.
    What glare hides is taken to be as the rest is.
    """
    places = bright_places(linear, inside, px_per_mm=px_per_mm, fat_linear=fat_linear)
    if places is None:
        return None
    eye, step, bright = places.eye, places.step, places.bright
    glare, doubt = np.zeros_like(bright), 0.0
    if fat_linear is not None and balanced:
        glare, unsure_share = find_glare(
            places.soft, places.lean, places.fat_linear, step, bright, px_per_mm=px_per_mm
        )
        if np.count_nonzero(glare) > MOST_GLARE_SHARE * np.count_nonzero(eye):
            glare &= step > BRIGHTER_THAN_FAT
        doubt = 100 * unsure_share * float(np.count_nonzero(bright)) / float(np.count_nonzero(eye))
    elif fat_linear is not None:
        glare = bright & (step > BRIGHTER_THAN_FAT)
    use = eye & ~_within(glare, BESIDE_GLARE * blur_mm * px_per_mm)
    fat = bright & use
    clear = max(1.0, float(np.count_nonzero(use)))
    unsure = 100 * float(np.count_nonzero(use & (np.abs(step - places.edge) < 0.08))) / clear
    share_pct = 100.0 * _covered(step, places.peak, fat, use, px_per_mm, blur_mm) / clear
    return Marbling(
        share_pct=_without_overcount(share_pct, px_per_mm * _edge_px(fat) / clear),
        spread_pct=float(np.hypot(0.3 + 0.4 * unsure, 0.5 * doubt)),
        glare_pct=100.0 * float(np.count_nonzero(glare)) / float(np.count_nonzero(eye)),
        fat=fat,
        glare=glare,
        lean=eye & (np.abs(step) < max(0.06, 2 * places.noise_share)),
        lean_linear=np.median(places.lean[::5, ::5][eye[::5, ::5]], axis=0).astype(float),
        fat_linear=places.fat_linear.astype(float),
        noise_share=places.noise_share,
    )


@dataclass(frozen=True)
class Places:
    """The eye without its rim, what each pixel is in linear light, and which of them step away from the lean.

    `step` is the share of the way from lean to fat, `peak` the highest step near, `edge` what counts as bright.
    """

    eye: Mask
    soft: Floats
    lean: Floats
    fat_linear: Floats
    step: Floats
    peak: Floats
    edge: Floats
    bright: Mask
    noise_share: float


def bright_places(
    linear: Floats, inside: Mask, *, px_per_mm: float, fat_linear: NDArray[np.float64] | None
) -> Places | None:
    """Where marbling or glare lies, of which both are brighter than lean; None where the eye is too small."""
    rim = 2 * round(EDGE_MM * px_per_mm) + 1
    eye = cv2.erode(inside.astype(np.uint8), np.ones((rim, rim), np.uint8), borderValue=0) > 0
    if int(np.count_nonzero(eye)) < 400:
        return None
    soft: Floats = np.asarray(
        cv2.GaussianBlur(np.minimum(linear, 1), (0, 0), SOFTEN_MM * px_per_mm), np.float32
    )
    fat_green_share = None if fat_linear is None else float(fat_linear[1])
    lean = lean_field(soft, eye, px_per_mm=px_per_mm, fat_green_share=fat_green_share)
    fat_colour = np.asarray(_fat_seen(soft, lean, eye) if fat_linear is None else fat_linear, np.float32)
    step = _step(soft, lean, fat_colour, eye, px_per_mm)
    below = step.take(np.flatnonzero(eye & (step < 0))[::5])
    noise = 1.48 * float(np.median(-below)) if below.size else 0.01
    peak = highest_near(step, px_per_mm)
    level = _level(step, peak, eye & (step > LEVEL_FROM_SHARE), px_per_mm)
    least = (FAT_FROM_SHARE if fat_linear is not None else OWN_FAT_FROM_SHARE) * min(
        1.0, level / CORE_STEPS[1]
    )
    edge = np.clip(PEAK_SHARE * peak, max(least, NOISE_TIMES * noise), MOST_LEVEL)
    return Places(eye, soft, lean, fat_colour, step, peak, edge, eye & (step > edge), noise)


def _step(soft: Floats, lean: Floats, fat_colour: Floats, eye: Mask, px_per_mm: float) -> Floats:
    """How far each pixel lies on the way from its lean to fat, broad haze taken out where little is fat."""
    fat_row = np.tile(fat_colour, eye.shape[1]).reshape(-1, 3)  # NumPy is slow over rows of three
    towards = fat_row - lean
    away = soft - lean
    away *= towards
    towards *= towards
    step: Floats = _sum(away)
    step /= np.maximum(_sum(towards), np.float32(1e-6))
    strong = float(np.count_nonzero(eye & (step > STRONG_SHARE))) / np.count_nonzero(eye)
    rich = (100 * strong - RICH_PCT[0]) / (RICH_PCT[1] - RICH_PCT[0])
    if rich < 1:
        step += np.float32(1 - max(0.0, rich)) * (_without_haze(step, eye, px_per_mm) - step)
    return step


def _level(step: Floats, peak: Floats, fat: Mask, px_per_mm: float) -> float:
    """How far on the way to cover fat the broad deposits lie: the middle of the highest steps well inside them."""
    inner = np.flatnonzero(cv2.erode(fat.view(np.uint8), _disc(CORE_MM * px_per_mm)).view(np.bool_))
    cores = step.take(inner)
    cores = cores.take(np.flatnonzero(cores > 0.97 * peak.take(inner)))
    low, usual, high = CORE_STEPS
    return float(np.clip(np.median(cores), low, high)) if cores.size > FEW_CORES else usual


def _covered(step: Floats, peak: Floats, fat: Mask, use: Mask, px_per_mm: float, blur_mm: float) -> float:
    """Pixels covered by fat, parts of pixels counted as parts."""
    level = _level(step, peak, fat, px_per_mm)
    around = cv2.dilate(fat.view(np.uint8), _disc(AROUND_MM * px_per_mm)).view(np.bool_) & use
    at = np.flatnonzero(around)
    least, over = (float(np.interp(blur_mm, BLUR_MM, ends)) for ends in (FULL_FROM_SHARE, OVER_PEAK))
    full = np.clip(over * peak.take(at), least * level, level)
    return float(np.clip(step.take(at) / full, 0, 1).sum())


def _edge_px(fat: Mask) -> float:
    """Length of the edge of the deposits [px], whichever way it runs: steps from pixel to pixel, by Crofton's rule."""
    steps = np.count_nonzero(fat[:, 1:] ^ fat[:, :-1]) + np.count_nonzero(fat[1:] ^ fat[:-1])
    return np.pi / 4 * steps


def _without_overcount(share_pct: float, edge_per_mm: float) -> float:
    """The share less what fine deposits are counted too much."""
    low, full = FINE_IN_RICH_PCT
    counts = min(1.0, max(0.0, (share_pct - low) / (full - low)))
    fine = min(edge_per_mm, FINE_PER_MM[1]) - FINE_PER_MM[0]
    return share_pct - counts * FINE_PCT_MM * max(0.0, fine)


def _within(places: Mask, reach_px: float) -> Mask:
    """Places (H, W), and all that lies no farther than `reach_px` from them."""
    if reach_px < 1 or not places.any():
        return places
    # What lies so near to one place, laid about every place: quicker than how far each pixel lies from the nearest.
    across = 2 * int(reach_px) + 3
    middle = np.ones((across, across), np.uint8)
    middle[across // 2, across // 2] = 0
    about_one = (cv2.distanceTransform(middle, cv2.DIST_L2, 3) <= reach_px).astype(np.uint8)
    return cv2.dilate(places.view(np.uint8), about_one).view(np.bool_)


def _disc(reach_px: float) -> NDArray[np.uint8]:
    across = 2 * max(1, round(reach_px)) + 1
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (across, across)), np.uint8)


def _without_haze(step: Floats, eye: Mask, px_per_mm: float) -> Floats:
    """The step with broad faint lifts taken out: wet sheen spreads, deposits are narrow or strong."""
    by = max(1, round(0.4 * px_per_mm))
    high, wide = eye.shape
    size = (max(1, wide // by), max(1, high // by))
    small = cv2.resize(np.where(eye, step, 0).astype(np.float32), size, interpolation=cv2.INTER_AREA)
    reach = 2 * max(1, round(HAZE_MM * px_per_mm / by / 2)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    floor = cv2.morphologyEx(cv2.blur(small, (3, 3)), cv2.MORPH_OPEN, disc)
    floor = np.where(floor > HAZE_LIMIT_SHARE, 0, np.maximum(floor, 0)).astype(np.float32)
    floor = cv2.resize(cv2.blur(floor, (3, 3)), (wide, high), interpolation=cv2.INTER_LINEAR)
    return np.asarray((step - floor) / (1 - floor), dtype=np.float32)


def _fat_seen(soft: Floats, lean: Floats, eye: Mask) -> NDArray[np.float64]:
    """Fat colour from the brightest deposits in the eye, held to what fat against lean usually is."""
    usual = lean[eye].mean(axis=0).astype(float) * USUAL_FAT_TO_LEAN
    gain = soft[..., 1] / np.maximum(lean[..., 1], 1e-4)
    level = float(np.percentile(gain[eye], 99.0))
    seen = np.median(soft[eye & (gain >= level)], axis=0).astype(float)
    held = max(level, LEAST_FAT_TO_LEAN)
    base = lean[eye].mean(axis=0).astype(float)
    if level < 1.5:
        seen, level = usual, USUAL_FAT_TO_LEAN[1]
    return np.asarray(base + (seen - base) * (held - 1) / (level - 1), dtype=np.float64)


def _sum(channels: Floats) -> Floats:
    """Sum over the three channels (H, W, 3) to (H, W)."""
    return np.asarray(cv2.transform(channels, np.ones((1, 3), np.float32)), dtype=np.float32)
