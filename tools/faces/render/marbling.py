"""Marbling: how much of each small square of the eye is fat, drawn to a wanted share."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from . import noise, shapes
from .arrays import Bytes, Gray, Points, gray, points
from .draw import Draw


@dataclass(frozen=True)
class Deposits:
    """Fat over a rectangle of the face: coverage 0 to 1 on a grid; x0_mm, y1_mm is the grid's top-left corner."""

    fat: Gray
    x0_mm: float
    y1_mm: float
    px_per_mm: float

    def to_grid(self, at_mm: Points) -> Points:
        """Face mm to grid px (pixel centres at whole numbers)."""
        shifted = (at_mm - points([self.x0_mm, self.y1_mm])) * points([1, -1]) * self.px_per_mm
        return shifted - 0.5


def grid_for(outline: Points, px_per_mm: float) -> Deposits:
    """An empty grid that covers an outline with 2 mm to spare."""
    low, high = outline.min(axis=0) - 2, outline.max(axis=0) + 2
    width, height = (np.ceil((high - low) * px_per_mm)).astype(int)
    return Deposits(np.zeros((int(height), int(width)), np.float32), float(low[0]), float(high[1]), px_per_mm)


_POINTS = 9  # of a thread
_WIDTHS = points([0.25, 0.5, 1, 2, 3, 4, 6, 8, 11, 15, 22])


def _paths(draw: Draw, start: Points, heading: Points, length: Points, wander: float) -> Points:
    """Wandering lines (n, points, 2) from their starts."""
    n = len(start)
    bend = heading[:, None] + np.cumsum(draw.rng.normal(0, wander, (n, _POINTS - 1)), axis=1)
    step = np.stack([np.cos(bend), np.sin(bend)], axis=2) * (length / (_POINTS - 1))[:, None, None]
    return points(start[:, None, :] + np.concatenate([np.zeros((n, 1, 2)), np.cumsum(step, axis=1)], axis=1))


def _stroke(canvas: Bytes, paths: Points, width: Points) -> None:
    """Threads whose width (n, points - 1) varies, in grid px, drawn into the canvas with soft edges.

    Threads thinner than a pixel are drawn one pixel wide and fainter, so that coverage stays true.
    """
    pairs = np.stack([paths[:, :-1], paths[:, 1:]], axis=2).reshape(-1, 2, 2)
    pairs = np.round(pairs * 16).astype(np.int32)
    sort = np.abs(_WIDTHS[None, :] - width.reshape(-1, 1)).argmin(axis=1)
    for k in np.unique(sort):
        thick = max(1, round(float(_WIDTHS[k])))
        value = int(255 * min(1.0, _WIDTHS[k] / thick))
        cv2.polylines(canvas, list(pairs[sort == k]), False, value, thick, cv2.LINE_AA, 4)


@dataclass(frozen=True)
class _Manner:
    """How the threads of one animal run."""

    fibre_rad: float
    loose: float
    wander: float
    long_mm: float
    wide_mm: float
    clusters: Points  # (n, 2), share of the grid's width and height
    tight: float
    branching: float


def _manner(draw: Draw) -> _Manner:
    return _Manner(
        fibre_rad=draw.between(0, math.pi),
        loose=draw.between(0.15, 1.2),
        wander=draw.between(0.05, 0.45),
        long_mm=draw.log_between(2.5, 14),
        wide_mm=draw.log_between(0.25, 0.9),
        clusters=points(draw.rng.uniform(0, 1, (draw.whole(2, 9), 2))),
        tight=draw.between(0, 0.8),
        branching=draw.between(0, 0.5),
    )


def _some_threads(draw: Draw, canvas: Bytes, how: _Manner, count: int, px: float) -> None:
    size = points([canvas.shape[1], canvas.shape[0]])
    rng = draw.rng
    start = rng.uniform(0, 1, (count, 2)) * size
    near = (
        how.clusters[rng.integers(len(how.clusters), size=count)] * size
        + rng.normal(0, 0.13, (count, 2)) * size
    )
    start = np.where(rng.random((count, 1)) < how.tight, near, start)
    length = np.clip(how.long_mm * np.exp(rng.normal(0, 0.6, count)), 0.8, 45) * px
    heading = how.fibre_rad + rng.normal(0, how.loose, count)
    paths = _paths(draw, points(start), points(heading), points(length), how.wander)
    wide = np.clip(how.wide_mm * np.exp(rng.normal(0, 0.5, count)), 0.12, 3.0) * px
    taper = np.sin(np.linspace(0.3, math.pi - 0.2, _POINTS - 1)) * (
        1 + 0.4 * rng.normal(0, 1, (count, _POINTS - 1))
    )
    _stroke(canvas, paths, points(wide[:, None] * np.clip(taper, 0.2, 2)))
    twig = rng.random(count) < how.branching
    if twig.any():
        off = heading[twig] + np.where(rng.random(int(twig.sum())) < 0.5, -0.8, 0.8)
        twigs = _paths(
            draw, points(paths[twig, _POINTS // 2]), points(off), points(length[twig] * 0.5), how.wander
        )
        _stroke(canvas, twigs, points(wide[twig, None] * np.linspace(0.8, 0.3, _POINTS - 1)))


def _threads(draw: Draw, canvas: Bytes, mask: Bytes, share: float, px: float) -> None:
    """Flecks and threads, clustered, along the fibres, until they cover the share of the mask."""
    how = _manner(draw)
    whole = float(canvas.size)
    batch = max(4, int(0.35 * share * whole / (px * px * 1.6 * how.long_mm * how.wide_mm)))
    for _ in range(14):
        _some_threads(draw, canvas, how, min(batch, 3000), px)
        have = cv2.mean(canvas, mask)[0] / 255
        if have >= share * 0.93:
            return
        batch = max(4, int(batch * float(np.clip((share - have) / max(have, 1e-4), 0.1, 1.5))))


def _web(draw: Draw, shape: tuple[int, int], px: float) -> Gray:
    """A field whose highest values make webs, islands or stripes of fat."""
    cell = draw.log_between(1.2, 6.5) * px
    angle, stretch = draw.between(0, math.pi), draw.log_between(1, 5)
    base = noise.fractal(
        draw, shape, cell, octaves=3, gain=draw.between(0.4, 0.75), stretch=stretch, angle_rad=angle
    )
    style = draw.pick(["ridge", "ridge", "island", "mixed"])
    if style != "island":
        ridge = -np.abs(base)
        base = gray(ridge if style == "ridge" else ridge + 0.5 * np.roll(base, 17, axis=0))
    slow = noise.field(draw, shape, draw.between(12, 40) * px)
    return gray(base + draw.between(0, 0.7) * slow)


def _keep_share(score: Gray, have: Gray, mask: Bytes, share: float, soft: float) -> Gray:
    """Coverage added where the score is highest, so that with what is there the mask's share is met."""
    wanted = share * float(np.count_nonzero(mask))
    inside = mask > 0
    values, had = score[inside], have[inside]
    low, high = float(values.min()) - 1, float(values.max()) + 1
    for _ in range(18):
        level = (low + high) / 2
        total = float(np.maximum(had, np.clip((values - level) / soft + 0.5, 0, 1)).sum(dtype=np.float64))
        low, high = (level, high) if total > wanted else (low, level)
    return gray(np.clip((score - (low + high) / 2) / soft + 0.5, 0, 1))


def draw_deposits(
    draw: Draw, outline: Points, *, share: float, px_per_mm: float, web: float | None = None
) -> Deposits:
    """Deposits whose share of the outline's area is about `share`; `web` is the part in webs, not threads.

    The share that was really drawn is the mean of the map inside the outline (`true_share`).
    """
    grid = grid_for(outline, px_per_mm)
    shape = grid.fat.shape
    mask = np.zeros(shape, np.uint8)
    cv2.fillPoly(mask, [np.round(grid.to_grid(outline) * 16).astype(np.int32)], 255, cv2.LINE_8, 4)
    canvas = np.zeros(shape, np.uint8)
    web = draw.between(0, 1) * min(1, 0.25 + 4 * share) if web is None else web
    edges = shapes.resample(outline, 60)
    for _ in range(draw.whole(0, 3) if share > 0.008 else 0):  # coarse deposits, some at the edge
        at = points(edges[draw.whole(0, 59)] * draw.pick([0.97, draw.between(0, 0.9)]))
        lump = shapes.blob(draw, at, draw.log_between(0.8, 3.2), ratio=draw.between(1, 3), rough=0.25)
        cv2.fillPoly(canvas, [np.round(grid.to_grid(lump) * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    _threads(draw, canvas, mask, share * (1 - web), px_per_mm)
    fat = gray(canvas) / np.float32(255)
    score = _web(draw, (shape[0], shape[1]), px_per_mm)
    if draw.chance(0.6):  # fine dust
        dust = noise.field(draw, (shape[0], shape[1]), draw.between(0.12, 0.45) * px_per_mm)
        score = gray(score + draw.between(0.15, 1.0) * dust)
    if float(fat[mask > 0].mean()) < share:
        fat = np.maximum(fat, _keep_share(score, fat, mask, share, 0.12))
    return Deposits(fat, grid.x0_mm, grid.y1_mm, px_per_mm)


def true_share(deposits: Deposits, outline: Points) -> float:
    """Share of the outline's area that the deposits cover, 0 to 1: before lens and glare, parts of cells as parts."""
    mask = np.zeros(deposits.fat.shape, np.uint8)
    cv2.fillPoly(mask, [np.round(deposits.to_grid(outline) * 16).astype(np.int32)], 255, cv2.LINE_8, 4)
    return float(deposits.fat[mask > 0].mean(dtype=np.float64))
