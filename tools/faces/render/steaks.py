"""Bare cuts lying alone: the 12th-rib steak with its fat rim, and things that hold no rib eye at all."""

from __future__ import annotations

import math
from functools import partial

import cv2
import numpy as np
import numpy.typing as npt

from . import against, shapes
from .anatomy import Face, Piece, bone_pieces, eye_piece, lean_piece, neighbours
from .arrays import FAT, MUSCLE, Points, points
from .draw import Draw


def _reach(clouds: list[Points], count: int) -> Points:
    """Farthest radius of some points in each of `count` directions about the origin."""
    reach = np.zeros(count)
    for cloud in clouds:
        dense = shapes.resample(cloud, 1500)
        angle = np.arctan2(dense[:, 1], dense[:, 0]) % (2 * np.pi)
        np.maximum.at(reach, (angle / (2 * np.pi) * count).astype(int) % count, np.hypot(*dense.T))
    return reach


def _rim(draw: Draw, t: Points, fat_mm: float) -> Points:
    """Thickness of the fat rim by direction: thick over the back, thin or trimmed elsewhere."""
    middle = math.pi / 2 + draw.bell(0, 0.4, -1, 1)
    wide = draw.between(0.7, 1.5)
    away = np.angle(np.exp(1j * (t - middle)))
    rim = fat_mm * np.exp(-0.5 * (away / wide) ** 4) + draw.pick([0.0, 0.3, 1.0, 3.0])
    for _ in range(draw.whole(0, 2)):  # pockets of fat at an end
        off = np.angle(np.exp(1j * (t - draw.between(0, 2 * np.pi))))
        rim += draw.between(2, 22) * np.exp(-0.5 * (off / draw.between(0.1, 0.4)) ** 2)
    return points(rim)


def steak_face(draw: Draw, *, area_mm2: float, fat_mm: float, spread: float) -> Face:
    """A steak cut through the rib or short loin, seen from above."""
    eye = shapes.eye_outline(draw, area_mm2=area_mm2, spread=spread)
    around, outers = neighbours(draw, eye, layout="steak")
    apart = Draw(draw.seed, "against the eye")
    for lay in (against.rib_end, partial(against.seamless, layout="steak", spread=spread)):
        pieces, edges = lay(apart, eye)
        around, outers = [*around, *pieces], [*outers, *edges]
    count = 360
    reach = _reach([eye, *outers], count)
    t = points(np.linspace(0, 2 * np.pi, count, endpoint=False))
    wide = draw.pick(
        [5, 9, 9, 15, 31]
    )  # a trimmed cut is rounder than the muscles in it, and cuts some of them
    ring = cv2.dilate(np.tile(reach, 3).astype(np.float32).reshape(1, -1), np.ones((1, wide), np.uint8))
    ring = points(cv2.GaussianBlur(ring, (0, 0), draw.log_between(3, 16))).ravel()[count : 2 * count]
    radius = np.maximum(ring * draw.between(0.86, 1.0), _reach([eye], count)) + _rim(draw, t, fat_mm)
    radius += draw.pick([0.0, 0.2, 0.5, 1.0]) * np.abs(shapes.waves(draw, count, 12, 60, 0.7))
    outline = np.stack([radius * np.cos(t), radius * np.sin(t)], axis=1)
    bones: list[Piece] = []
    if draw.chance(0.22):  # the bone left on
        start = int(draw.between(180, 330))
        index = (start + np.arange(int(draw.between(40, 110)))) % count
        spine = outline[index] + shapes.normals(outline)[index] * draw.between(0, 6)
        shape = shapes.ribbon(spine, np.full(len(index), draw.between(3, 8)))
        outline = _joined(outline, spine, points(index).astype(np.int64))
        bones = bone_pieces(draw, shape)
    eye = against.notched(apart, eye, spread=spread)
    drawn = (*bones, *around, eye_piece(draw, eye))
    keep = np.abs(np.angle(np.exp(1j * (t - np.pi / 2)))) < 1.35
    upper = outline[keep][::-1]
    return Face(outline, drawn, eye, "steak", upper)


def _joined(outline: Points, spine: Points, index: npt.NDArray[np.int64]) -> Points:
    """The outline pushed out to take in the bone."""
    pushed = outline.copy()
    pushed[index] = spine * (1 + 4 / np.maximum(np.hypot(*spine.T), 1))[:, None]
    return shapes.smooth(pushed, 1.5)


def no_eye_cut(draw: Draw) -> Face:
    """A cut without a rib eye: a few muscles parted by seams, as of round, chuck or sirloin."""
    radius = draw.between(45, 110)
    outline = shapes.blob(draw, points([0.0, 0.0]), radius, ratio=draw.between(1, 2.2), rough=0.1)
    pieces: list[Piece] = []
    whole = draw.chance(0.5)
    for _ in range(1 if whole else draw.whole(4, 11)):
        centre = points([0.0, 0.0]) if whole else points(draw.rng.normal(0, radius * 0.45, 2))
        size = radius * (0.93 if whole else draw.between(0.25, 0.6))
        shape = (
            outline * 0.95 if whole else shapes.blob(draw, centre, size, ratio=draw.between(1, 3), rough=0.2)
        )
        pieces.append(lean_piece(draw, shape, draw.between(0.5, 3)))
    for _ in range(draw.whole(1, 7)):  # seams and gristle across it
        start, heading = points(draw.rng.normal(0, radius * 0.4, 2)), draw.between(0, 2 * np.pi)
        bend = heading + np.cumsum(draw.rng.normal(0, 0.12, 30))
        spine = start + np.cumsum(np.stack([np.cos(bend), np.sin(bend)], axis=1) * radius / 22, axis=0)
        half = np.maximum(draw.log_between(0.4, 3) * (1 + 0.5 * shapes.waves(draw, 30, 1, 6, 1.0)), 0.1)
        pieces.append(Piece(shapes.ribbon(spine, half), FAT, "fat", draw.between(-1, 1)))
    if draw.chance(0.35):
        pieces += bone_pieces(
            draw, shapes.blob(draw, points(draw.rng.normal(0, radius * 0.3, 2)), draw.between(8, 20))
        )
    return Face(outline, tuple(pieces), np.zeros((0, 2)), "other")


def ground_meat(draw: Draw) -> Face:
    """A heap of ground meat: short worms of lean and fat."""
    radius = draw.between(45, 110)
    outline = shapes.blob(draw, points([0.0, 0.0]), radius, ratio=draw.between(1, 1.8), rough=0.06)
    pieces: list[Piece] = []
    lean_share = draw.between(0.6, 0.93)
    pieces.append(Piece(outline, MUSCLE, "lean", -0.8))
    for _ in range(draw.whole(140, 220)):
        place = outline[draw.whole(0, len(outline) - 1)] * math.sqrt(draw.between(0, 0.95))
        bend = draw.between(0, 2 * np.pi) + np.cumsum(draw.rng.normal(0, 0.4, 8))
        spine = place + np.cumsum(np.stack([np.cos(bend), np.sin(bend)], axis=1) * draw.between(1, 4), axis=0)
        shape = shapes.ribbon(spine, np.full(8, draw.between(1.6, 3.6)))
        lean = draw.chance(lean_share)
        pieces.append(Piece(shape, MUSCLE if lean else FAT, "lean" if lean else "fat", draw.between(-1.5, 1.5),
                            rim_mm=0.3 if lean else 0.0))  # fmt: skip
    return Face(outline, tuple(pieces), np.zeros((0, 2)), "other")
