"""The cut face in the plane: which muscle, fat and bone lies where, in mm.

Frame: origin in the middle of the eye, chine end at -x, tail at +x, outside (back fat) at +y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from . import shapes
from .arrays import BONE, EYE, MUSCLE, Points, points
from .draw import Draw


@dataclass(frozen=True)
class Piece:
    """One thing on the face, painted in order: its outline in mm, its class and how it looks."""

    outline: Points
    label: int
    look: str  # lean, fat, bone or cartilage
    shade: float = 0.0  # -1 to 1 between the two ends of the look
    marbled: float = 0.0  # weight of the marbling of the other muscles
    rim_mm: float = 0.0  # a light skin along its edge
    fibre_rad: float = 0.0


@dataclass(frozen=True)
class Face:
    """A cut face: its outside, its pieces in painter's order (the eye is one of them), the eye."""

    outline: Points
    pieces: tuple[Piece, ...]
    eye: Points
    layout: str  # side or steak
    upper: Points | None = None  # the outside above the eye, from chine to tail

    def mirrored(self) -> Face:
        """The same face seen as the other side of the animal."""
        flip = points([-1.0, 1.0])
        turned = tuple(
            replace(p, outline=p.outline[::-1] * flip, fibre_rad=math.pi - p.fibre_rad) for p in self.pieces
        )
        upper = None if self.upper is None else self.upper * flip
        return replace(
            self, outline=self.outline[::-1] * flip, pieces=turned, eye=self.eye[::-1] * flip, upper=upper
        )


def arc_piece(
    draw: Draw, base: Points, from_deg: float, to_deg: float, *, gap_mm: float, thick_mm: float
) -> tuple[Points, Points]:
    """A muscle that lies along part of the eye: its outline and its outer edge.

    The gap (fat seam) and the thickness vary along it; a small gap closes to nothing here and there.
    """
    angle = np.degrees(np.arctan2(base[:, 1], base[:, 0]))
    first = int(np.abs((angle - from_deg + 180) % 360 - 180).argmin())
    last = int(np.abs((angle - to_deg + 180) % 360 - 180).argmin())
    n = (last - first) % len(base) + 1
    index = (first + np.arange(n)) % len(base)
    along = np.linspace(0, 1, n)
    edge, out = base[index], shapes.smooth(shapes.normals(base), 10)[index]
    wander = shapes.waves(draw, 2 * n, 1, 7, 1.0)[:n]
    gap = np.maximum(gap_mm * (1 + 0.5 * wander) - 0.15, 0)
    peak = draw.between(0.3, 0.7)
    hump = np.where(along < peak, along / peak, (1 - along) / (1 - peak))
    bulk = 1 + 0.18 * shapes.waves(draw, 2 * n, 2, 9, 1.0)[:n]
    thick = thick_mm * np.sin(hump * np.pi / 2) ** draw.between(0.4, 1.2) * np.maximum(bulk, 0.3)
    outer = edge + out * (gap + thick)[:, None]
    return np.vstack([outer, (edge + out * gap[:, None])[::-1]]), outer


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


def _lean(draw: Draw, outline: Points, marbled: float = 1.0) -> Piece:
    return Piece(
        outline=outline,
        label=MUSCLE,
        look="lean",
        shade=draw.bell(0, 0.08, -0.2, 0.2) if draw.chance(0.3) else draw.bell(0, 0.5, -1.2, 1.2),
        marbled=marbled,
        rim_mm=draw.pick([0.0, 0.0, 0.25, 0.5]),
        fibre_rad=draw.between(0, math.pi),
    )


def _seam_mm(draw: Draw) -> float:
    """Width of a fat seam; often thin, sometimes almost none."""
    return 0.05 if draw.chance(0.18) else draw.log_between(0.3, 4.5)


def neighbours(draw: Draw, eye: Points, *, layout: str) -> tuple[list[Piece], list[Points]]:
    """The small muscles about the eye (spinalis, multifidus, iliocostalis and others), with their outer edges."""
    base = shapes.smooth(eye, draw.between(4, 14))
    found: list[tuple[Points, Points, float]] = []

    def lay(
        from_deg: float, to_deg: float, thick_mm: float, marbled: float = 1.0, gap: float | None = None
    ) -> None:
        gap = _seam_mm(draw) if gap is None else gap
        shape, outer = arc_piece(draw, base, from_deg, to_deg, gap_mm=gap, thick_mm=thick_mm)
        found.append((shape, outer, marbled))

    if draw.chance(0.9):  # multifidus and its neighbours at the chine end
        start = draw.between(145, 175)
        lay(start, start + draw.between(22, 55), draw.between(10, 40))
        if draw.chance(0.5):
            lay(start + draw.between(40, 60), start + draw.between(65, 90), draw.between(6, 18))
    if draw.chance(0.85):  # cap over the chine half of the outside
        big = layout == "steak" and draw.chance(0.45)
        start = draw.between(20, 90) if big else draw.between(76, 110)
        lay(start, start + draw.between(50, 110), draw.between(10, 34) if big else draw.between(1.5, 16),
            draw.between(0.8, 2.5))  # fmt: skip
    if draw.chance(0.85):  # iliocostalis beyond the tail end
        start = draw.between(-50, -15)
        lay(start, start + draw.between(30, 62), draw.between(8, 45))
    if layout == "steak" and draw.chance(0.7):  # what is left of the intercostals
        start = draw.between(190, 250)
        lay(start, start + draw.between(50, 120), draw.between(3, 16), draw.between(1, 5))
    if draw.chance(0.3):
        start = draw.between(0, 360) if layout == "steak" else draw.between(195, 330)
        lay(start, start + draw.between(10, 35), draw.between(3, 14))
    pieces = [_lean(draw, shape, marbled) for shape, _, marbled in found]
    return pieces, [outer for _, outer, _ in found]


def eye_piece(draw: Draw, eye: Points) -> Piece:
    return Piece(eye, EYE, "lean", draw.bell(0, 0.2, -0.6, 0.6), 0.0, draw.pick([0.0, 0.0, 0.2, 0.5]),
                 draw.between(0, math.pi))  # fmt: skip


def _strips(draw: Draw, xs: Points, low: Points, high: Points, *, bone: bool) -> list[Piece]:
    """Flat muscles lying on each other between two lines, seams between them, perhaps with a rib among them."""
    pieces: list[Piece] = []
    height = float(np.median(high - low))
    at = draw.between(0.02, 0.12)
    rib_left = bone
    while at < 0.93 and height > 3:
        thick = float(np.clip(draw.log_between(4, 22) / height, 0.06, 0.6))
        is_rib = rib_left and draw.chance(0.55)
        if is_rib:
            thick = float(np.clip(draw.between(7, 17) / height, 0.08, 0.5))
        end = min(at + thick, 0.97)
        first = draw.between(-0.05, 0.3) if draw.chance(0.5) else -0.02
        last = draw.between(0.55, 1.0) if draw.chance(0.4) else 1.02
        span = np.clip((xs - xs[0]) / (xs[-1] - xs[0]), 0, 1)
        use = (span >= first) & (span <= last)
        if use.sum() > 8:
            wave = 0.04 * shapes.waves(draw, 2 * len(xs), 2, 10, 1.0)[: len(xs)]
            lower = low + (high - low) * np.clip(at + wave, 0, 1)
            upper = low + (high - low) * np.clip(end + 0.6 * wave, 0, 1)
            round_off = np.sqrt(np.clip(np.minimum(span - first, last - span) / 0.06, 0, 1))[use]
            middle, half = (lower + upper)[use] / 2, np.maximum(upper - lower, 0.5)[use] / 2 * round_off
            shape = shapes.ribbon(np.stack([xs[use], middle], axis=1), half)
            if is_rib:
                pieces += _bone(draw, shape)
                rib_left = False
            else:
                pieces.append(_lean(draw, shape, draw.between(0.7, 2.5)))
        at = end + draw.log_between(0.6, 7) / height
    return pieces


def _bone(draw: Draw, shape: Points) -> list[Piece]:
    """A sawn bone: a light shell, marrow inside; or all of it white."""
    shade = draw.between(-1, 1)
    pieces = [Piece(shape, BONE, "cartilage", 0.0)]
    if draw.chance(0.8):
        dense = shapes.resample(shape, 240)
        core = dense - shapes.normals(dense) * draw.between(0.8, 2.5) * _winding(dense)
        pieces.append(Piece(core, BONE, "bone", shade, rim_mm=0.3))
    return pieces


def _winding(outline: Points) -> float:
    x, y = outline[:, 0], outline[:, 1]
    return 1.0 if float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) > 0 else -1.0


def _vertebra(draw: Draw, x: float, low: float, high: float) -> list[Piece]:
    """The sawn chine: body below, feather bone above, along the chine edge."""
    pieces: list[Piece] = []
    radius = draw.between(12, 26)
    centre = points([x + radius * draw.between(0.3, 0.9), low + radius * draw.between(0.5, 1.1)])
    pieces += _bone(draw, shapes.blob(draw, centre, radius, ratio=draw.between(0.7, 1.5), rough=0.09))
    if draw.chance(0.5):
        pieces += _bone(
            draw, shapes.blob(draw, centre + points([radius * draw.between(0.3, 1), radius]), radius * 0.45)
        )
    if draw.chance(0.65):
        ys = np.linspace(centre[1] + radius * 0.6, high - draw.between(2, 25), 30)
        if ys[-1] > ys[0] + 8:
            lean = draw.between(-4, 6)
            spine = np.stack([x + 2 + lean * np.linspace(0, 1, 30), ys], axis=1)
            half = draw.between(2, 6) * (1 + 0.15 * shapes.waves(draw, 30, 1, 4, 1.0))
            pieces += _bone(draw, shapes.ribbon(spine, np.maximum(half, 1)))
    return pieces


def side_face(draw: Draw, *, area_mm2: float, fat_mm: float, spread: float) -> Face:
    """The ribbed face of a hanging side: eye, its neighbours, ribs, chine, and the tail running out."""
    eye = shapes.eye_outline(draw, area_mm2=area_mm2, spread=spread)
    around, outers = neighbours(draw, eye, layout="side")
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
    pieces += [*around, eye_piece(draw, eye)]
    face = Face(outline, tuple(pieces), eye, "side", upper)
    return _bent(face, left, draw.bell(0, 0.0005, -0.0014, 0.0014))


def _under_and_tail(
    draw: Draw, xs: Points, low: Points, floor: Points, inner: Points, eye_right: float, outers: list[Points]
) -> list[Piece]:
    under = xs < eye_right + draw.between(0, 30)
    pieces = _strips(
        draw, xs[under], low[under] + 1, floor[under] - draw.between(1, 6), bone=draw.chance(0.9)
    )
    start = max([eye_right, *[float(o[:, 0].max()) for o in outers]]) + draw.between(1, 8)
    after = xs > start
    if after.sum() > 12:
        pieces += _strips(draw, xs[after], low[after] + 1, inner[after], bone=draw.chance(0.5))
    return pieces


def _bent(face: Face, x0: float, rate: float) -> Face:
    """The face bent as a side bends: every y moved by rate * (x - x0)^2, beyond the eye only gently."""

    def move(outline: Points) -> Points:
        return np.stack([outline[:, 0], outline[:, 1] + rate * (outline[:, 0] - x0) ** 2], axis=1)

    pieces = tuple(replace(p, outline=move(p.outline)) for p in face.pieces)
    upper = None if face.upper is None else move(face.upper)
    return replace(face, outline=move(face.outline), pieces=pieces, eye=move(face.eye), upper=upper)
