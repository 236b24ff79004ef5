"""The lean's own colour at every place of the eye: a slow field from which marbling and glare step away."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Mask = NDArray[np.bool_]

SAMPLE_MM = 1.0
"""The field is worked on every so many millimetres, on single pixels: a mean would mix threads into the lean."""

BLOCK_MM = 9.0
BLOCK_PCT = (20.0, 16.0)
"""Where the field starts: the tone below which so much of each block lies, in a plain eye and in a rich one. The
darkest of the whole eye would be bruises and blood; the middle would be fat in rich eyes."""

SCALE_MM = 2.5
"""Shading, mottle and blood are followed at this scale, three times wider where little lean is seen."""

ROUNDS = 4
SPREADS = (2.5, 2.0)
"""A sample is lean as long as it is no more than so many times the lean's spread above the field, likewise."""

RICH_FROM_SHARE, RICH_SHARE = 0.15, 0.30
"""An eye is rich by degrees as from the first to the second share of it more than `FAT_SHARE` of the way to fat."""

FAT_SHARE = 0.3

USUAL_FAT_TO_LEAN = 6.0
"""Fat over lean in green light, where no fat is known."""

NEVER_ABOVE_SHARE = 0.12
"""And never further on the way to fat than this: fine marbling must not be taken for rough lean."""

BELOW_SPREADS = 6.0


def lean_field(soft: Floats, eye: Mask, *, px_per_mm: float, fat_green_share: float | None) -> Floats:
    """Lean in linear light (H, W, 3) B, G, R under marbling and all; `fat_green_share` is fat's green, if known.

    The constants were set on rendered faces of training seeds, against where their lean was bare.
    """
    by = max(1, round(SAMPLE_MM * px_per_mm))
    small, whole = np.ascontiguousarray(soft[::by, ::by]), eye[::by, ::by]
    if not whole.any():
        whole = np.ones_like(whole)
    base = _settled(small, whole, px_per_mm / by, fat_green_share, rich=0.0)
    fat = USUAL_FAT_TO_LEAN * float(base[whole, 1].mean()) if fat_green_share is None else fat_green_share
    step = (small[..., 1] - base[..., 1]) / np.maximum(fat - base[..., 1], 0.02)
    seen = float(np.mean(step[whole] > FAT_SHARE))
    rich = min(1.0, (seen - RICH_FROM_SHARE) / (RICH_SHARE - RICH_FROM_SHARE))
    if rich > 0:
        base = _settled(small, whole, px_per_mm / by, fat_green_share, rich=rich)
    return spread_out(base, by, (eye.shape[0], eye.shape[1]))


def _settled(
    small: Floats, whole: Mask, per_mm: float, fat_green_share: float | None, *, rich: float
) -> Floats:
    """The field on the samples (h, w, 3), `per_mm` of them a millimetre, after some rounds of leaving out fat."""
    green = np.ascontiguousarray(small[..., 1])
    block_pct, spreads = (plain + rich * (other - plain) for plain, other in (BLOCK_PCT, SPREADS))
    use = whole & (green <= 1.05 * _start(green, whole, max(3, round(BLOCK_MM * per_mm)), block_pct))
    scale = SCALE_MM * per_mm
    base = small
    for _ in range(ROUNDS):
        if not use.any():
            use = whole
        base = _through(small, use, scale)
        gap = green - base[..., 1]
        lower = gap[whole & (gap < 0)]
        spread = 1.4 * float(np.median(-lower)) if lower.size else 0.01
        above = np.full_like(gap, spreads * spread)
        if fat_green_share is not None:
            above = np.minimum(above, NEVER_ABOVE_SHARE * np.maximum(fat_green_share - base[..., 1], 0.02))
        use = whole & (gap < above) & (gap > -BELOW_SPREADS * spread)
    return base


def _start(green: Floats, whole: Mask, side: int, block_pct: float) -> Floats:
    """The low tone of each block of `side` samples, softened, over all samples (h, w)."""
    high, wide = green.shape
    down, across = -(-high // side), -(-wide // side)
    tiles = np.full((down * side, across * side), np.inf, np.float32)
    tiles[:high, :wide] = np.where(whole, green, np.inf)
    rows = np.sort(tiles.reshape(down, side, across, side).swapaxes(1, 2).reshape(down * across, -1), axis=1)
    count = np.isfinite(rows).sum(axis=1)
    seen = count >= min(12, int(count.max()))
    at = (count * block_pct / 100).astype(int).clip(0, rows.shape[1] - 1)
    tone = np.where(seen, rows[np.arange(len(rows)), at], 0.0).astype(np.float32)
    middle = np.float32(np.median(tone[seen]))
    kept = seen.astype(np.float32).reshape(down, across)
    soft = cv2.GaussianBlur(tone.reshape(down, across), (0, 0), 0.7)
    amount = cv2.GaussianBlur(kept, (0, 0), 0.7)
    field = (soft + 0.02 * middle) / (amount + 0.02)
    grown = cv2.resize(field, (across * side, down * side), interpolation=cv2.INTER_LINEAR)
    return np.asarray(grown[:high, :wide], dtype=np.float32)


def _through(small: Floats, use: Mask, scale: float) -> Floats:
    """A soft mean (h, w, 3) of the samples in use, from farther away where few are near."""
    kept = use.astype(np.float32)
    mean = np.array([*cv2.mean(small, use.view(np.uint8))[:3], 1.0], np.float32)
    seen = cv2.merge([*(each * kept for each in cv2.split(small)), kept])
    high, wide = use.shape
    coarse = cv2.resize(seen, (-(-wide // 3), -(-high // 3)), interpolation=cv2.INTER_AREA)
    soft = cv2.GaussianBlur(coarse, (0, 0), scale)
    spread = cv2.split(cv2.resize(soft, (wide, high), interpolation=cv2.INTER_LINEAR))
    far = [each + np.float32(0.01) * usual for each, usual in zip(spread, mean, strict=True)]
    near = cv2.split(cv2.GaussianBlur(seen, (0, 0), scale))
    share = np.float32(0.05) / far[3]
    amount = near[3] + share * far[3]
    return np.asarray(cv2.merge([(near[k] + share * far[k]) / amount for k in range(3)]), dtype=np.float32)


def spread_out(small: Floats, by: int, shape: tuple[int, int]) -> Floats:
    """Samples taken at every `by`-th pixel back to all pixels of `shape` (H, W)."""
    matrix = np.array([[by, 0, 0], [0, by, 0]], dtype=float)
    four = cv2.cvtColor(small, cv2.COLOR_BGR2BGRA)  # twice as quick as three channels
    grown = cv2.warpAffine(four, matrix, (shape[1], shape[0]), flags=cv2.INTER_LINEAR,
                           borderMode=cv2.BORDER_REPLICATE)  # fmt: skip
    return np.asarray(cv2.cvtColor(grown, cv2.COLOR_BGRA2BGR), dtype=np.float32)
