"""What makes the edge of the eye hard to see: muscles against it without a seam, and fat that runs into it."""

from __future__ import annotations

import math

import numpy as np

from . import shapes
from .anatomy import Piece, arc_piece
from .arrays import MUSCLE, Points, points
from .draw import Draw

TONES = {
    "browned": ((0.75, 1.05), (0.75, 1.1), (0.6, 0.95)),
    "dark": ((0.45, 0.8), (0.35, 0.75), (0.4, 0.85)),
    "pale": ((1.15, 1.6), (1.2, 2.0), (1.15, 1.9)),
    "red": ((1.05, 1.35), (0.6, 0.9), (0.6, 0.95)),
}
"""Ranges of what a muscle's red, green and blue light are multiplied with; our own guesses."""


def _toned(draw: Draw, outline: Points, marbled: float) -> Piece:
    """A muscle that differs from the eye in tone or grain, for there is no seam to tell the two apart."""
    tone = draw.pick(["browned", "browned", "dark", "dark", "pale", "red"])
    red, green, blue = (draw.between(*ends) for ends in TONES[tone])
    return Piece(
        outline, MUSCLE, "lean", draw.bell(0, 0.4, -1, 1), marbled,
        rim_mm=draw.between(0.15, 0.5) if draw.chance(0.3) else 0.0, fibre_rad=draw.between(0, math.pi),
        tone=(red, green, blue), rough=draw.between(0.1, 0.5) if draw.chance(0.6) else 0.0,
    )  # fmt: skip


def seamless(draw: Draw, eye: Points, *, layout: str, spread: float) -> tuple[list[Piece], list[Points]]:
    """Muscles that touch the eye along a part of its edge, often under it; with their outer edges."""
    if not draw.chance(0.15 * spread):
        return [], []
    base = shapes.smooth(eye, draw.between(1, 4))
    found: list[tuple[Points, Points]] = []
    for _ in range(draw.pick([1, 1, 1, 2])):
        under = draw.chance(0.6)
        start = draw.between(185, 300) if under else draw.between(0, 360)
        wide = draw.between(35, 120) if under else draw.between(20, 70)
        gap_mm = 0.0 if draw.chance(0.75) else 0.25  # now and then a seam that closes here and there
        found.append(arc_piece(draw, base, start, start + wide, gap_mm=gap_mm,
                               thick_mm=draw.between(5, 32 if layout == "side" else 24)))  # fmt: skip
    pieces = [_toned(draw, shape, draw.between(0.5, 4)) for shape, _ in found]
    return pieces, [outer for _, outer in found]


def rib_end(draw: Draw, eye: Points) -> tuple[list[Piece], list[Points]]:
    """The large cap, and what lies across from it, of a steak from the rib end; wide seams between."""
    if not draw.chance(0.3):
        return [], []
    base = shapes.smooth(eye, draw.between(5, 14))
    start = draw.between(10, 90)
    arcs = [(start, draw.between(90, 180), draw.between(18, 46))]
    if draw.chance(0.6):
        arcs.append((start + draw.between(185, 230), draw.between(35, 90), draw.between(8, 30)))
    pieces, outers = [], []
    for first, wide, thick_mm in arcs:
        shape, outer = arc_piece(
            draw, base, first, first + wide, gap_mm=draw.log_between(0.4, 9), thick_mm=thick_mm
        )
        pieces.append(_toned(draw, shape, draw.between(0.7, 3)))
        outers.append(outer)
    return pieces, outers


def torn_off(draw: Draw, eye: Points, *, spread: float) -> tuple[Points, list[Piece], list[Points]]:
    """The eye where the knife stopped short: cut off along a wavy line, and beyond it torn meat of nearly its tone.

    Gives the eye that is left, the torn pieces and their outer edges; mostly the whole eye and nothing.
    """
    if not draw.chance(0.08 * spread):
        return eye, [], []
    heading = draw.bell(-math.pi / 2, 0.5, -2.6, -0.5) if draw.chance(0.8) else draw.between(0, 2 * math.pi)
    out = points([math.cos(heading), math.sin(heading)])
    side = points([-out[1], out[0]])
    along, away = eye @ side, eye @ out
    grid = np.linspace(along.min() - 40, along.max() + 40, 160)
    wave = draw.between(0.3, 3) * shapes.waves(draw, 2 * len(grid), 1, 14, 0.8)[: len(grid)]
    line = away.max() - draw.between(0.03, 0.3) * (away.max() - away.min()) + wave
    limit = np.interp(along, grid, line)
    beyond = away > limit
    left = eye + np.where(beyond, limit - away, 0.0)[:, None] * out
    if not beyond.any() or shapes.area(left) < 0.6 * shapes.area(eye):
        return eye, [], []
    ends = along[beyond].min() - draw.between(0, 30), along[beyond].max() + draw.between(0, 30)
    reach = (grid > ends[0]) & (grid < ends[1])
    run = np.linspace(-1, 1, int(reach.sum()))
    ragged = 1 + 0.3 * shapes.waves(draw, 2 * len(run), 2, 20, 0.7)[: len(run)]
    deep = draw.between(5, 32) * np.maximum(ragged, 0.2) * (1 - run**4)
    near = np.outer(grid[reach], side) + np.outer(line[reach] - 0.5, out)
    outer = near + np.outer(deep, out)
    light = draw.between(0.8, 1.2)
    tone = (light * draw.between(0.92, 1.08), light * draw.between(0.9, 1.3), light * draw.between(0.9, 1.35))
    torn = Piece(
        np.vstack([near, outer[::-1]]), MUSCLE, "lean", draw.bell(0, 0.2, -0.5, 0.5), draw.between(1.5, 5),
        fibre_rad=draw.between(0, math.pi), tone=tone, rough=draw.between(0.25, 0.6),
    )  # fmt: skip
    return shapes.resample(left, shapes.COUNT), [torn], [outer]


def notched(draw: Draw, eye: Points, *, spread: float) -> Points:
    """The eye with one or two narrow tongues of fat run into it, or as it was; none of it is eye."""
    if not draw.chance(0.12 * spread):
        return eye
    for _ in range(draw.pick([1, 1, 2])):
        eye = _one_notch(draw, eye)
    return eye


def _one_notch(draw: Draw, eye: Points) -> Points:
    """A tongue that narrows inwards, slanting; left out where it would leave the eye again."""
    at = draw.whole(0, len(eye) - 1)
    half_mm, depth_mm = draw.between(0.6, 3.2), draw.between(5, 28)
    inward = -shapes.normals(shapes.smooth(eye, 6))[at]
    heading = math.atan2(inward[1], inward[0]) + draw.between(-1.0, 1.0)
    steps = np.linspace(0, 1, 14)
    bend = heading + draw.bell(0, 0.5, -1, 1) * steps
    walk = np.stack([np.cos(bend), np.sin(bend)], axis=1) * depth_mm / len(steps)
    spine = eye[at] + np.vstack([np.zeros((1, 2)), np.cumsum(walk, axis=0)[:-1]])
    tongue = shapes.ribbon(spine, points(half_mm * (1 - steps) ** draw.between(0.4, 1.2) + 0.15))
    # the flanks without their first points, which may stand out of the mouth
    left, right = tongue[1 : len(steps)], tongue[len(steps) : -1][::-1]
    if not all(shapes.inside(eye, spot) for spot in np.vstack([left, right])):
        return eye
    away = np.hypot(*(eye - eye[at]).T)
    ring = np.roll(np.arange(len(eye)), -at)  # runs on from the mouth once around
    kept = eye[ring[away[ring] > half_mm + 0.4]]
    # the ring ends before the mouth and begins after it: in along the nearer flank, out along the other
    first, second = (left, right) if _near(kept[-1], left[0], right[0]) else (right, left)
    whole = np.vstack([kept, first, second[::-1]])
    return shapes.resample(whole, 2 * shapes.COUNT)


def _near(spot: Points, one: Points, other: Points) -> bool:
    """Whether a point is nearer to the first of two than to the second."""
    return float(np.hypot(*(spot - one))) <= float(np.hypot(*(spot - other)))
