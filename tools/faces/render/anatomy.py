"""The cut face in the plane: which muscle, fat and bone lies where, in mm.

Frame: origin in the middle of the eye, chine end at -x, tail at +x, outside (back fat) at +y.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from . import shapes
from .arrays import BONE, EYE, MUSCLE, Points, points
from .draw import Draw

CLOSED_SEAM_MM = 0.15
"""A seam narrower than this is closed nearly everywhere."""


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
    tone: tuple[float, float, float] = (1.0, 1.0, 1.0)  # its own red, green and blue against the look's
    rough: float = 0.0  # how much its surface is torn, 0 to 1


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


def lean_piece(draw: Draw, outline: Points, marbled: float = 1.0) -> Piece:
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
    found: list[tuple[Points, Points, float, float]] = []

    def lay(from_deg: float, to_deg: float, thick_mm: float, marbled: float = 1.0) -> None:
        gap_mm = _seam_mm(draw)
        shape, outer = arc_piece(draw, base, from_deg, to_deg, gap_mm=gap_mm, thick_mm=thick_mm)
        found.append((shape, outer, marbled, gap_mm))

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
    pieces = [lean_piece(draw, shape, marbled) for shape, _, marbled, _ in found]
    sheaths = Draw(draw.seed, "sheaths")
    pieces = [
        _in_its_sheath(sheaths, piece) if gap_mm < CLOSED_SEAM_MM else piece
        for piece, (_, _, _, gap_mm) in zip(pieces, found, strict=True)
    ]
    return pieces, [outer for _, outer, _, _ in found]


def _in_its_sheath(draw: Draw, piece: Piece) -> Piece:
    """A muscle that touches the eye, told from it by the sheath round every muscle (its epimysium), or by its tone.

    Without either no pixel of the picture would show where the eye ends.
    """
    if draw.chance(0.6):
        return replace(piece, rim_mm=max(piece.rim_mm, draw.between(0.2, 0.6)))
    light = draw.pick([draw.between(0.55, 0.82), draw.between(1.2, 1.6)])
    return replace(piece, tone=(light, light * draw.between(0.85, 1.15), light * draw.between(0.85, 1.15)))


def eye_piece(draw: Draw, eye: Points) -> Piece:
    return Piece(eye, EYE, "lean", draw.bell(0, 0.2, -0.6, 0.6), 0.0, draw.pick([0.0, 0.0, 0.2, 0.5]),
                 draw.between(0, math.pi))  # fmt: skip


def strips(draw: Draw, xs: Points, low: Points, high: Points, *, bone: bool) -> list[Piece]:
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
                pieces += bone_pieces(draw, shape)
                rib_left = False
            else:
                pieces.append(lean_piece(draw, shape, draw.between(0.7, 2.5)))
        at = end + draw.log_between(0.6, 7) / height
    return pieces


def bone_pieces(draw: Draw, shape: Points) -> list[Piece]:
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
