"""What the network is shown of a rendering while it trains: the whole picture or a crop of it, or the eye close up.

Both are cut the way the reader cuts them (`gambrel.ribface.network`), at several sizes, so that one set of weights
serves a small first look and a finer second one. A crop through the eye is a picture in which the eye is cut off.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import torch
from network import VERDICTS
from torch import Tensor
from torch.nn import functional as F

READABLE, NO_FACE, TWO_FACES, CUT_OFF = range(len(VERDICTS))
UNTOLD = -1
WHOLE_SIZES = ((160, 224), (224, 160), (192, 256))
CLOSE_SIZES = (256, 288)
CUT_SHARE = 0.3
"""Share of the crops that are to run through the eye."""

CUT_LEAST, CUT_UNSURE = 0.02, 0.004
"""An eye that leaves the picture by more than the first share of its extent is cut off; less is told as nothing."""


@dataclass(frozen=True)
class Chosen:
    """Renderings (n): pictures (n, 3, h, w) 0 to 1, labels (n, h, w), axes (n, 6) px, boxes of the eye (n, 4) px as
    x0, y0, x1, y1 (unknown: not a number), whether the eye runs out of the picture, and verdicts (n,).
    """

    pictures: Tensor
    labels: Tensor
    axes: Tensor
    boxes: Tensor
    verdicts: Tensor


@dataclass(frozen=True)
class Shown:
    """What the network sees (n, 3, h, w) and is to say: classes, along and outside by pixel, and the verdict."""

    seen: Tensor
    marks: Tensor
    along: Tensor
    out: Tensor
    verdict: Tensor


Rand = Callable[..., Tensor]


def show(chosen: Chosen, gen: torch.Generator, *, close: bool, turn: int) -> Shown:
    """A batch of whole pictures or of close-ups; `turn` picks the size, the same for the whole batch."""
    device = chosen.pictures.device

    def rand(*shape: int) -> Tensor:
        return torch.rand(*shape, generator=gen, device=device)

    if close:
        side = CLOSE_SIZES[turn % len(CLOSE_SIZES)]
        spin, middle, verdict = _close_up(chosen, rand)
        return _cut(chosen, spin, middle, (side, side), verdict, rand)
    high, wide = WHOLE_SIZES[turn % len(WHOLE_SIZES)]
    spin, middle, verdict = _crop(chosen, wide / high, rand)
    return _cut(chosen, spin, middle, (high, wide), verdict, rand)


def _close_up(chosen: Chosen, rand: Rand) -> tuple[Tensor, Tensor, Tensor]:
    """Squares about the eye, turned any way; about a chance place where there is none."""
    n = len(chosen.pictures)
    high, wide = chosen.labels.shape[1:]
    x0, y0, x1, y1 = chosen.boxes.T
    known = ~torch.isnan(x0)
    spare = torch.stack([wide * rand(n), high * rand(n)], 1)
    middle = torch.where(known[:, None], torch.stack([x0 + x1, y0 + y1], 1) / 2, spare)
    extent = torch.where(known, torch.maximum(x1 - x0, y1 - y0), wide * (0.15 + 0.5 * rand(n)))
    far = (rand(n) < 0.12).float()
    span = extent * (1.15 + 0.75 * rand(n) + far * rand(n))
    middle = middle + (rand(n, 2) - 0.5) * span[:, None] * 0.2
    square = (rand(n) < 0.4) | (chosen.verdicts == CUT_OFF)
    angle = 2 * math.pi * rand(n)
    angle = torch.where(square, (angle / (math.pi / 2)).floor() * (math.pi / 2), angle)
    verdict = torch.where(chosen.verdicts == TWO_FACES, UNTOLD, chosen.verdicts)
    return _spin(angle, span / 2, span / 2, rand), middle, verdict


def _crop(chosen: Chosen, shape: float, rand: Rand) -> tuple[Tensor, Tensor, Tensor]:
    """Upright or turned by quarters: the whole picture, or a crop that holds the eye or runs through it."""
    n = len(chosen.pictures)
    high, wide = chosen.labels.shape[1:]
    size = torch.tensor([float(wide), float(high)], device=chosen.pictures.device)
    low, top = chosen.boxes[:, :2], chosen.boxes[:, 2:]
    known = ~torch.isnan(low[:, 0])
    low = torch.where(known[:, None], low, size * 0.4)
    top = torch.where(known[:, None], top, size * 0.6)
    extent = top - low
    margin = extent.amax(1, keepdim=True) * (0.01 + 0.3 * rand(n, 1) ** 2)
    least = torch.minimum(((extent + 2 * margin) / size).amax(1), torch.ones(n, device=size.device))
    whole = (rand(n) < 0.35) | (chosen.verdicts == TWO_FACES) | (chosen.verdicts == CUT_OFF)
    share = torch.where(whole, 1.0, (least + (1 - least) * rand(n)).clamp(0.3, 1.0))
    crop = size * share[:, None]
    first = torch.maximum(top + margin - crop, torch.zeros_like(top))
    last = torch.minimum(low - margin, size - crop)
    corner = first + (last - first) * rand(n, 2)
    corner = torch.minimum(corner.clamp(min=0), size - crop)
    corner = _through_the_eye(chosen, corner, crop, low, top, known & ~whole, rand)
    over = (torch.maximum(corner - low, top - corner - crop) / extent).amax(1)
    cut = known & (over > CUT_LEAST)
    unsure = known & ~cut & (over > CUT_UNSURE)
    verdict = torch.where(cut & (chosen.verdicts == READABLE), CUT_OFF, chosen.verdicts)
    verdict = torch.where(unsure & (verdict == READABLE), UNTOLD, verdict)
    quarter = (4 * rand(n)).floor()
    # turned to lie, a picture is squeezed: few of the pictures, for phones take both ways
    stands = (shape < 1) != (wide < high)
    quarter = torch.where(rand(n) < 0.9, 2 * (quarter // 2) + (1 if stands else 0), quarter)
    lies = quarter % 2 == 0
    half = crop / 2
    half_x, half_y = torch.where(lies, half[:, 0], half[:, 1]), torch.where(lies, half[:, 1], half[:, 0])
    return _spin(quarter * (math.pi / 2), half_x, half_y, rand), corner + half, verdict


def _through_the_eye(
    chosen: Chosen, corner: Tensor, crop: Tensor, low: Tensor, top: Tensor, may: Tensor, rand: Rand
) -> Tensor:
    """Some of the crops moved so that one of their sides runs through the eye, by a sliver or by much."""
    n = len(corner)
    high, wide = chosen.labels.shape[1:]
    size = torch.tensor([float(wide), float(high)], device=corner.device)
    axis = (rand(n) < 0.5).long()[:, None]
    depth = (top - low).gather(1, axis) * (0.01 + 0.6 * rand(n, 1) ** 2)
    from_low = rand(n, 1) < 0.5
    low_side = low.gather(1, axis) + depth
    high_side = top.gather(1, axis) - depth - crop.gather(1, axis)
    place = torch.where(from_low, low_side, high_side)
    fits = (place >= 0) & (place <= (size - crop).gather(1, axis))
    moved = corner.scatter(1, axis, place)
    through = (may & (rand(n) < CUT_SHARE))[:, None] & fits
    return torch.where(through, moved, corner)


def _spin(angle: Tensor, half_x: Tensor, half_y: Tensor, rand: Rand) -> Tensor:
    """Matrices (n, 2, 2) from a view (-1 to 1) to px about its middle: turned, half of them mirrored, stretched."""
    n = len(angle)
    flip = torch.where(rand(n) < 0.5, -1.0, 1.0)
    stretch = 1.0 + 0.12 * (rand(n) - 0.5)
    cos, sin = torch.cos(angle), torch.sin(angle)
    across = torch.stack([cos, sin], 1) * (half_x * flip * stretch)[:, None]
    down = torch.stack([-sin, cos], 1) * half_y[:, None]
    return torch.stack([across, down], 2)


def _cut(
    chosen: Chosen, spin: Tensor, middle: Tensor, shape: tuple[int, int], verdict: Tensor, rand: Rand
) -> Shown:
    """Sample the views and what is true of each of their pixels."""
    n, device = len(middle), middle.device
    high, wide = chosen.labels.shape[1:]
    ys, xs = (torch.arange(side, device=device).add(0.5).div(side).mul(2).sub(1) for side in shape)
    v = torch.stack(torch.meshgrid(xs, ys, indexing="xy"), -1).reshape(1, -1, 2)
    source = (v @ spin.transpose(1, 2) + middle[:, None]).reshape(n, *shape, 2)
    grid = source / torch.tensor([wide, high], device=device) * 2 - 1
    step = _determinant(spin).abs().sqrt() * 2 / math.sqrt(shape[0] * shape[1])
    seen = _sample_area(chosen.pictures, grid, step)
    marks = F.grid_sample(
        chosen.labels[:, None].float(), grid, mode="nearest", padding_mode="zeros", align_corners=False
    )[:, 0].round().long()  # fmt: skip
    along, out = _places(chosen.axes, source, spin)
    return Shown(_light(seen, rand), marks, along, out, verdict)


def _places(axes: Tensor, source: Tensor, spin: Tensor) -> tuple[Tensor, Tensor]:
    """How far along the eye each pixel lies, and the unit direction to the outside in the view."""
    chine, far, outer = axes[:, 0:2], axes[:, 2:4], axes[:, 4:6]
    run = far - chine
    length2 = (run**2).sum(1)
    along = ((source - chine[:, None, None]) * run[:, None, None]).sum(-1) / length2[:, None, None]
    foot = chine + run * (((outer - chine) * run).sum(1) / length2)[:, None]
    across, down = spin[:, :, 0], spin[:, :, 1]
    up = outer - foot
    # Cramer's rule: the direction in the view's own units
    way = torch.stack(
        [_determinant(torch.stack([up, down], 2)), _determinant(torch.stack([across, up], 2))], 1
    )
    way = way / _determinant(spin)[:, None]
    sides = torch.linalg.vector_norm(spin, dim=1)  # half the view's width and height in px
    out = F.normalize(way * sides, dim=1)
    return along, torch.where(torch.isnan(outer[:, :1]) | torch.isnan(run[:, :1]), torch.nan, out)


def _determinant(of: Tensor) -> Tensor:
    """Of matrices (n, 2, 2)."""
    return of[:, 0, 0] * of[:, 1, 1] - of[:, 0, 1] * of[:, 1, 0]


def _sample_area(picture: Tensor, grid: Tensor, shrink: Tensor) -> Tensor:
    """Sampling from the picture and its half- and quarter-size copies, so that shrinking does not alias."""
    levels = [picture, F.avg_pool2d(picture, 2), F.avg_pool2d(picture, 4)]
    seen = [F.grid_sample(each, grid, align_corners=False, padding_mode="border") for each in levels]
    level = shrink.clamp(1, 4).log2()[:, None, None, None]
    low = torch.where(level < 1, seen[0], seen[1])
    high = torch.where(level < 1, seen[1], seen[2])
    part = level - (level >= 1).float()
    return low * (1 - part) + high * part


def _light(x: Tensor, rand: Rand) -> Tensor:
    """Another exposure, colour cast, contrast, haze, blur and noise on top of the rendering's own."""
    n = len(x)
    x = x.clamp(1e-4, 1) ** (0.7 + 0.6 * rand(n, 1, 1, 1)) * (0.75 + 0.5 * rand(n, 1, 1, 1))
    x = x * (0.88 + 0.24 * rand(n, 3, 1, 1))
    grey = x.mean(1, keepdim=True)
    x = grey + (x - grey) * (0.45 + 0.95 * rand(n, 1, 1, 1))
    haze = 0.3 * rand(n, 1, 1, 1) ** 3
    x = x * (1 - haze) + haze * rand(n, 1, 1, 1)
    soft = F.avg_pool2d(x, 3, 1, 1)
    blur = (rand(n, 1, 1, 1) < 0.25).float() * rand(n, 1, 1, 1)
    x = x * (1 - blur) + soft * blur
    return (x + torch.randn_like(x) * 0.03 * rand(n, 1, 1, 1) ** 2).clamp(0, 1)
