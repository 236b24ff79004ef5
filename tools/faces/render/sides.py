"""The ribbed face of a hanging side: the eye among its neighbours, ribs, chine, cover, and the tail running out."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np

from . import against, shapes
from .anatomy import Face, Piece, bone_pieces, eye_piece, neighbours, strips
from .arrays import Points, points
from .draw import Draw


def _envelope(xs: Points, clouds: list[Points], *, top: bool, sigma: float) -> Points:
    """The highest (or lowest) y of some points over each x, smoothed, never inside them by much."""
    sign = 1.0 if top else -1.0
    step = xs[1] - xs[0]
    level = np.full(len(xs), -np.inf)
    for cloud in clouds:
        dense = shapes.resample(cloud, 800)
        at = np.clip(((dense[:, 0] - xs[0]) / step).round().astype(int), 0, len(xs) - 1)
        np.maximum.at(level, at, sign * dense[:, 1])
    known = np.isfinite(level)
    level = np.interp(xs, xs[known], level[known])
    reach = max(int(sigma * 1.2), 1)
    high = cv2.dilate(level.astype(np.float32).reshape(1, -1), np.ones((1, 2 * reach + 1), np.uint8))
    soft = cv2.GaussianBlur(high, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)
    return sign * points(soft).ravel()


def _vertebra(draw: Draw, x: float, low: float, high: float) -> list[Piece]:
    """The sawn chine: body below, feather bone above, along the chine edge."""
    pieces: list[Piece] = []
    radius = draw.between(12, 26)
    centre = points([x + radius * draw.between(0.3, 0.9), low + radius * draw.between(0.5, 1.1)])
    pieces += bone_pieces(draw, shapes.blob(draw, centre, radius, ratio=draw.between(0.7, 1.5), rough=0.09))
    if draw.chance(0.5):
        pieces += bone_pieces(
            draw, shapes.blob(draw, centre + points([radius * draw.between(0.3, 1), radius]), radius * 0.45)
        )
    if draw.chance(0.65):
        ys = np.linspace(centre[1] + radius * 0.6, high - draw.between(2, 25), 30)
        if ys[-1] > ys[0] + 8:
            lean = draw.between(-4, 6)
            spine = np.stack([x + 2 + lean * np.linspace(0, 1, 30), ys], axis=1)
            half = draw.between(2, 6) * (1 + 0.15 * shapes.waves(draw, 30, 1, 4, 1.0))
            pieces += bone_pieces(draw, shapes.ribbon(spine, np.maximum(half, 1)))
    return pieces


def side_face(draw: Draw, *, area_mm2: float, fat_mm: float, spread: float) -> Face:
    """The ribbed face of a hanging side: eye, its neighbours, ribs, chine, and the tail running out."""
    eye = shapes.eye_outline(draw, area_mm2=area_mm2, spread=spread)
    around, outers = neighbours(draw, eye, layout="side")
    apart = Draw(draw.seed, "against the eye")
    touching, edges = against.seamless(apart, eye, layout="side", spread=spread)
    eye, torn, ragged = against.torn_off(apart, eye, spread=spread)
    outers = [*outers, *edges, *ragged]
    cloud = [eye, *outers]
    left = float(min(c[:, 0].min() for c in cloud)) - draw.between(4, 26)
    eye_right = float(eye[:, 0].max())
    tail = eye_right + draw.log_between(25, 260)
    xs = points(np.arange(left, tail, 2.0))
    roof = _envelope(xs, cloud, top=True, sigma=draw.between(3, 9))
    floor = _envelope(xs, cloud, top=False, sigma=draw.between(4, 10))
    # cover: the fat thickens or thins along the back and thins towards the tail
    run = (xs - left) / max(eye_right - left, 1)
    cover = fat_mm * (
        1
        + draw.bell(0, 0.5, -0.8, 1.2) * (0.75 - run)
        + 0.12 * shapes.waves(draw, 2 * len(xs), 2, 8, 1.0)[: len(xs)]
    )
    cover = np.maximum(cover, min(fat_mm, 0.4))
    beyond = np.clip((xs - eye_right) / max(tail - eye_right, 1), 0, 1)
    depth = draw.between(18, 62) * (1 + 0.08 * shapes.waves(draw, 2 * len(xs), 1, 5, 1.0)[: len(xs)])
    droop = draw.bell(0, 22, -60, 60) * beyond**1.5
    narrow = 1 - draw.between(0, 0.55) * beyond
    middle = (roof + floor) / 2
    low = middle + (floor - middle) * narrow + droop - depth * narrow
    inner = middle + (roof - middle) * narrow + droop
    upper = np.stack([xs, inner + cover], axis=1)
    outline = np.vstack([np.stack([xs, low], axis=1), upper[::-1]])
    step = points(np.linspace(0, 1, 12)[1:-1])
    cut = np.stack([np.full(10, left) + 1.5 * shapes.waves(draw, 10, 1, 3, 1.0),
                    upper[0, 1] + (low[0] - upper[0, 1]) * step], axis=1)  # fmt: skip
    outline = np.vstack([outline, cut])
    pieces = _under_and_tail(draw, xs, low, floor + droop, inner, eye_right, outers)
    pieces += _vertebra(draw, left, float(low[0]), float(upper[0, 1]))
    eye = against.notched(apart, eye, spread=spread)
    pieces += [*around, *touching, *torn, eye_piece(draw, eye)]
    face = Face(outline, tuple(pieces), eye, "side", upper)
    return _bent(face, left, draw.bell(0, 0.0005, -0.0014, 0.0014))


def _under_and_tail(
    draw: Draw, xs: Points, low: Points, floor: Points, inner: Points, eye_right: float, outers: list[Points]
) -> list[Piece]:
    under = xs < eye_right + draw.between(0, 30)
    pieces = strips(draw, xs[under], low[under] + 1, floor[under] - draw.between(1, 6), bone=draw.chance(0.9))
    start = max([eye_right, *[float(o[:, 0].max()) for o in outers]]) + draw.between(1, 8)
    after = xs > start
    if after.sum() > 12:
        pieces += strips(draw, xs[after], low[after] + 1, inner[after], bone=draw.chance(0.5))
    return pieces


def _bent(face: Face, x0: float, rate: float) -> Face:
    """The face bent as a side bends: every y moved by rate * (x - x0)^2, beyond the eye only gently."""

    def move(outline: Points) -> Points:
        return np.stack([outline[:, 0], outline[:, 1] + rate * (outline[:, 0] - x0) ** 2], axis=1)

    pieces = tuple(replace(p, outline=move(p.outline)) for p in face.pieces)
    upper = None if face.upper is None else move(face.upper)
    return replace(face, outline=move(face.outline), pieces=pieces, eye=move(face.eye), upper=upper)
