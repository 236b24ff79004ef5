"""Marbling: the share of the eye that is fat, flecks and threads included, glare left out.

Worked in linear light, for there the light of a pixel is the sum of what is in it. The lean's own slow shading
is taken out, each pixel's step towards fat is measured along the line from lean to fat, and what steps towards
white instead is glare.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

EDGE_MM = 0.45
"""Rim of the eye left out: there seam fat and lean share a pixel."""

SOFTEN_MM = 0.15
"""Noise is softened at this scale; finer than a thread."""

SAMPLE_MM = 0.8

LEAN_SCALE_MM = 2.5
"""Shading and mottle of the lean are followed at this scale."""

FAT_FROM_SHARE = 0.25
"""A faint place this far on the way from lean to cover fat may be fat: threads are thinner than the blur and let
lean shine through. Set on rendered faces with the outline known."""

OWN_FAT_FROM_SHARE = 0.22
"""The same where the eye's own deposits stand in for cover fat. Set on labelled points of real crops."""

PEAK_SHARE = 0.45
"""The edge of a deposit lies where it has fallen to this share of its own highest step: a clear deposit is then
measured to its true edge, and a thread that the blur has made faint is not lost."""

PEAK_REACH_MM = 0.7
"""How far from a deposit's highest step its edge may lie."""

LEAST_OF_LEVEL, MOST_LEVEL = 0.8, 0.5
"""The edge is never below this share of the level above, nor higher than half-way to cover fat."""

NOISE_TIMES = 4.0
"""And at least this many times the noise of the lean."""

GLARE_SHARE = 0.5
"""A place whose step is more than half towards white is glare."""

GLARE_ANGLE_DEG = (6.0, 9.0)
"""Below the first angle between fat and white the colours cannot tell glare; above the second they can."""

GLARE_FADES_PCT = (12.0, 28.0)
"""Where more of the eye than this is bright it is marbling, whose fat may be whiter than the cover's; glare is then
looked for less and less."""

BRIGHTER_THAN_FAT = 1.25
"""Brighter than cover fat by this is glare whatever its colour."""

LEAST_FAT_TO_LEAN = 3.0
"""Deposits that stand out less than this from the lean (green light) are not taken as the colour of fat."""

HAZE_MM = 3.0
"""A lift wider than this and no more than `HAZE_LIMIT_SHARE` of the way to fat is haze, not marbling."""

HAZE_LIMIT_SHARE = 0.5

STRONG_SHARE = 0.45

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
) -> Marbling | None:
    """Marbling in the mask `inside` (H, W) of a picture in linear light (H, W, 3), or None where too small.

    `fat_linear` is the colour of the fat beside the eye (3,), B, G, R; without it the brightest deposits in
    the eye stand in. `balanced` says that white is known, so that glare can be told by its colour.
    """
    rim = 2 * round(EDGE_MM * px_per_mm) + 1
    eye = cv2.erode(inside.astype(np.uint8), np.ones((rim, rim), np.uint8), borderValue=0) > 0
    if int(np.count_nonzero(eye)) < 400:
        return None
    soft: Floats = np.asarray(cv2.GaussianBlur(linear, (0, 0), SOFTEN_MM * px_per_mm), dtype=np.float32)
    lean = _lean_base(soft, eye, px_per_mm)
    fat_colour = _fat_seen(soft, lean, eye) if fat_linear is None else np.asarray(fat_linear)
    towards: Floats = fat_colour.astype(np.float32) - lean
    length: Floats = np.maximum(_sum(towards * towards), np.float32(1e-6))
    away = soft - lean
    step: Floats = _sum(away * towards) / length
    rich = (100 * float(np.mean(step[eye] > STRONG_SHARE)) - RICH_PCT[0]) / (RICH_PCT[1] - RICH_PCT[0])
    if rich < 1:
        step += np.float32(1 - max(0.0, rich)) * (_without_haze(step, eye, px_per_mm) - step)
    below = step[eye & (step < 0)]
    noise = float(np.sqrt(np.mean(below**2))) if below.size else 0.01
    level = FAT_FROM_SHARE if fat_linear is not None else OWN_FAT_FROM_SHARE
    least = max(level * LEAST_OF_LEVEL, NOISE_TIMES * noise)
    edge = np.clip(PEAK_SHARE * _peak(step, px_per_mm), least, MOST_LEVEL)
    bright = eye & (step > edge)
    glare = _glare(away, towards, length, step, bright, balanced=balanced, rich=_rich_share(bright, eye))
    if fat_linear is None:
        glare &= False
    fat = bright & ~glare
    count = float(eye.sum())
    share = 100.0 * float(fat.sum()) / count
    unsure = eye & ~glare & (np.abs(step - edge) < 0.08)
    glare_pct = 100.0 * float(glare.sum()) / count
    return Marbling(
        share_pct=share,
        spread_pct=float(np.hypot(0.3 + 40.0 * float(unsure.sum()) / count, 0.3 * glare_pct)),
        glare_pct=glare_pct,
        fat=fat,
        glare=glare,
        lean=eye & (np.abs(step) < max(0.06, 2 * noise)),
        lean_linear=np.median(lean[::5, ::5][eye[::5, ::5]], axis=0).astype(float),
        fat_linear=fat_colour.astype(float),
        noise_share=noise,
    )


def _lean_base(soft: Floats, eye: Mask, px_per_mm: float) -> Floats:
    """The lean's own colour at every place: a slow field through the darker mode, fat clipped away.

    Worked on every tenth or so pixel, not on means of cells: a mean would mix threads into the lean.
    """
    by = max(1, round(SAMPLE_MM * px_per_mm))
    high, wide = eye.shape
    small, whole = np.ascontiguousarray(soft[::by, ::by]), eye[::by, ::by]
    if not whole.any():
        whole = np.ones_like(whole)
    green = small[..., 1]
    use = whole & (green <= np.percentile(green[whole], 35))
    scale = LEAN_SCALE_MM * px_per_mm / by
    base = small
    for _ in range(6):
        mean = small[use].mean(axis=0)
        kept = use.astype(np.float32)
        colour = cv2.GaussianBlur(small * kept[..., None], (0, 0), scale)
        amount = cv2.GaussianBlur(kept, (0, 0), scale)
        base = (colour + 0.03 * mean) / (amount + 0.03)[..., None]
        gap = green - base[..., 1]
        lower = gap[whole & (gap < 0)]
        spread = float(np.sqrt(np.mean(lower**2))) if lower.size else 0.01
        use = whole & (gap < 1.2 * spread) & (gap > -3 * spread)
        if not use.any():
            use = whole
    return _spread_out(base.astype(np.float32), by, (high, wide))


def _spread_out(small: Floats, by: int, shape: tuple[int, int]) -> Floats:
    """Samples taken at every `by`-th pixel back to all pixels of `shape` (H, W)."""
    matrix = np.array([[by, 0, 0], [0, by, 0]], dtype=float)
    size = (shape[1], shape[0])
    return np.asarray(
        cv2.warpAffine(small, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE),
        dtype=np.float32,
    )


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


def _glare(
    away: Floats,
    towards: Floats,
    length: Floats,
    step: Floats,
    bright: Mask,
    *,
    balanced: bool,
    rich: float,
) -> Mask:
    """Bright places that are the lamp's own light: the step splits into a part to fat and a part to white."""
    over = bright & (step > BRIGHTER_THAN_FAT)
    if not balanced or not bright.any():
        return over
    third = np.float32(1 / np.sqrt(3))
    to_fat, size, gone = towards[bright], length[bright], away[bright]
    to_white = to_fat.sum(axis=-1) * third
    cosine = float(np.median(to_white / np.sqrt(size)))
    angle = float(np.degrees(np.arccos(np.clip(cosine, 0, 1))))
    sure = float(np.clip((angle - GLARE_ANGLE_DEG[0]) / (GLARE_ANGLE_DEG[1] - GLARE_ANGLE_DEG[0]), 0, 1))
    if sure == 0:
        return over
    along_white = gone.sum(axis=-1) * third
    along_fat = (gone * to_fat).sum(axis=-1)
    det = size * 1.003 - to_white**2
    fat = (along_fat - along_white * to_white) / det * np.sqrt(size)
    white = (along_white * size - along_fat * to_white) / det
    part = white / np.maximum(np.abs(fat) + np.abs(white), 1e-3)
    limit = GLARE_SHARE + max(1 - sure, rich) * (1.2 - GLARE_SHARE)
    glare = over
    glare[bright] |= part > limit
    return glare


def _rich_share(bright: Mask, eye: Mask) -> float:
    """0 where little of the eye is bright, 1 where so much is that it can only be marbling."""
    seen_pct = 100 * float(np.count_nonzero(bright)) / max(1, int(np.count_nonzero(eye)))
    return float(np.clip((seen_pct - GLARE_FADES_PCT[0]) / (GLARE_FADES_PCT[1] - GLARE_FADES_PCT[0]), 0, 1))


def _peak(step: Floats, px_per_mm: float) -> Floats:
    """The highest step of the deposit that each place belongs to."""
    reach = 2 * max(1, round(PEAK_REACH_MM * px_per_mm)) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach))
    return np.asarray(cv2.dilate(step, disc), dtype=np.float32)


def _sum(channels: Floats) -> Floats:
    """Sum over the three channels (H, W, 3) to (H, W)."""
    return np.asarray(cv2.transform(channels, np.ones((1, 3), np.float32)), dtype=np.float32)
