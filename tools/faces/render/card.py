"""The scale card of the guide, in the plane of the face; all of its sizes in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np

from . import shapes
from .arrays import CARD, Bytes, Points, gray, points
from .camera import local_map
from .canvas import Canvas
from .colours import from_srgb
from .draw import Draw

WIDTH_MM, HEIGHT_MM = 105.0, 74.0
MARKERS = {10: (4.0, 4.0), 11: (85.0, 4.0), 12: (85.0, 54.0), 13: (4.0, 54.0)}
MARKER_MM = 16.0
PATCHES = (243, 200, 160, 122, 85, 52)
_FINE = 12  # px per mm of the printed card


@lru_cache(maxsize=1)
def printed() -> Bytes:
    """The card as printed, sRGB grey values, 12 px per mm."""
    sheet = np.full((round(HEIGHT_MM * _FINE), round(WIDTH_MM * _FINE)), 255, np.uint8)
    family = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    side = round(MARKER_MM * _FINE)
    for number, (x, y) in MARKERS.items():
        at = round(y * _FINE), round(x * _FINE)
        sheet[at[0] : at[0] + side, at[1] : at[1] + side] = cv2.aruco.generateImageMarker(
            family, number, side
        )
    for k, value in enumerate(PATCHES):
        left = round((22.5 + 10 * k) * _FINE)
        sheet[32 * _FINE : 42 * _FINE, left : left + 10 * _FINE] = value
    sheet[round(59.75 * _FINE) : round(60.25 * _FINE), round(27.5 * _FINE) : round(77.5 * _FINE)] = 0
    return sheet


@dataclass(frozen=True)
class Placed:
    """Where the card lies: face mm of its top-left corner, and its x direction."""

    corner_mm: Points
    turn_rad: float
    where: str

    def to_face(self, card_mm: Points) -> Points:
        """Card mm (y down) to face mm (y up)."""
        return shapes.turn(card_mm * points([1, -1]), self.turn_rad) + self.corner_mm

    def corners(self) -> Points:
        return self.to_face(points([[0, 0], [WIDTH_MM, 0], [WIDTH_MM, HEIGHT_MM], [0, HEIGHT_MM]]))


def place_card(draw: Draw, eye: Points, keep_clear: Points, face: Points) -> Placed:
    """A card beside the eye, as near as chance has it, clear of the eye and of the fat line's ground."""
    where, towards = draw.pick(
        [("chine", math.pi), ("tail", 0.0), ("below", -math.pi / 2), ("above", math.pi / 2)]
    )
    towards += draw.bell(0, 0.4, -0.8, 0.8)
    turn_rad = draw.bell(0, 0.25, -0.7, 0.7) + draw.pick([0, 0, 0, 1, 2, 3]) * math.pi / 2
    if draw.chance(0.15):
        turn_rad = draw.between(0, 2 * math.pi)
    half = shapes.turn(points([WIDTH_MM / 2, -HEIGHT_MM / 2])[None], turn_rad)[0]
    clear = draw.between(3, 22)
    off = draw.chance(0.35)  # beside the whole face and not on it
    obstacle = [*([face] if off else [eye]), keep_clear]
    start = points([math.cos(towards), math.sin(towards)])
    for step in range(25, 1200, 5):
        card = Placed(start * step - half, turn_rad, where)
        if all(_apart(card.corners(), each, clear) for each in obstacle):
            return card
    raise AssertionError("a card finds room beyond any face")


def _apart(rectangle: Points, outline: Points, clear_mm: float) -> bool:
    """Whether the outline stays out of the rectangle grown by the distance."""
    centre = rectangle.mean(axis=0)
    across, down = rectangle[1] - rectangle[0], rectangle[3] - rectangle[0]
    wide, high = float(np.hypot(*across)), float(np.hypot(*down))
    u = (outline - centre) @ across / wide
    v = (outline - centre) @ down / high
    meets = bool(np.any((np.abs(u) < wide / 2 + clear_mm) & (np.abs(v) < high / 2 + clear_mm)))
    return not meets and not (len(outline) > 2 and shapes.inside(outline, centre))


def paint_card(
    draw: Draw, canvas: Canvas, card: Placed, *, drops: int, corners_px: Points | None = None
) -> None:
    """Lay the card on the picture; `corners_px` puts it elsewhere than in the plane (a card that is not flat)."""
    square = points([[0, 0], [1, 0], [1, 1], [0, 1]])
    at = canvas.camera.to_px(card.corners()) if corners_px is None else corners_px
    covered = canvas.cover_px(
        shapes.resample(at, 64) if corners_px is not None else canvas.camera.to_px(_edge(card))
    )
    if covered is None:
        return
    window, alpha = covered
    _shadow(draw, canvas, at)
    x0, y0, x1, y1 = window
    sheet = printed()
    finer = (
        WIDTH_MM * _FINE / max(float(np.hypot(*(at[1] - at[0]))), float(np.hypot(*(at[2] - at[1]))) * 1.42, 1)
    )
    fine = 2 if (x1 - x0) * (y1 - y0) < 1_000_000 else 1
    if finer > fine * 1.05:
        size = max(8, round(sheet.shape[1] / finer * fine)), max(8, round(sheet.shape[0] / finer * fine))
        sheet = np.asarray(cv2.resize(sheet, size, interpolation=cv2.INTER_AREA), np.uint8)
    grid = square * points([sheet.shape[1], sheet.shape[0]]) - 0.5
    if corners_px is None:
        matrix = local_map(canvas.camera, grid, card.corners())
    else:
        matrix = points(cv2.getPerspectiveTransform(grid.astype(np.float32), at.astype(np.float32)))
    zoom = points([[fine, 0, (fine - 1) / 2 - fine * x0], [0, fine, (fine - 1) / 2 - fine * y0], [0, 0, 1]])
    big = cv2.warpPerspective(sheet, zoom @ matrix, ((x1 - x0) * fine, (y1 - y0) * fine), borderValue=(255,))
    seen = cv2.resize(big, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA) if fine > 1 else big
    tint = gray([1, draw.between(0.98, 1.0), draw.between(0.95, 1.0)]) * np.float32(draw.between(0.82, 0.95))
    ink = gray([from_srgb(v) for v in range(256)]) * np.float32(0.96) + np.float32(0.03)
    paper = ink[np.asarray(seen, np.uint8)][..., None] * tint
    canvas.lay(window, alpha, gray(paper), CARD)
    canvas.gloss[y0:y1, x0:x1] *= 1 - alpha
    for _ in range(drops):
        _drop(draw, canvas, card)


def _edge(card: Placed) -> Points:
    return shapes.resample(card.corners(), 64)


def _shadow(draw: Draw, canvas: Canvas, at: Points) -> None:
    """A soft shadow under the card."""
    size = float(np.hypot(*(at[1] - at[0])))
    off = points(draw.rng.normal(0, 0.02, 2)) * size
    covered = canvas.cover_px(shapes.resample((at - at.mean(axis=0)) * 1.03 + at.mean(axis=0) + off, 64))
    if covered is None:
        return
    (x0, y0, x1, y1), alpha = covered
    small = cv2.resize(alpha, (max((x1 - x0) // 3, 1), max((y1 - y0) // 3, 1)), interpolation=cv2.INTER_AREA)
    soft = cv2.resize(cv2.GaussianBlur(small, (0, 0), max(size * 0.006, 0.6)), (x1 - x0, y1 - y0))
    canvas.light[y0:y1, x0:x1] *= (1 - np.float32(draw.between(0.1, 0.6)) * gray(soft))[..., None]


def _drop(draw: Draw, canvas: Canvas, card: Placed) -> None:
    """A drop of blood on the card, clear of the markers."""
    centre = points(
        [[draw.between(24, 81), draw.between(6, 28) if draw.chance(0.5) else draw.between(44, 70)]]
    )
    shape = shapes.blob(
        draw, card.to_face(centre)[0], draw.log_between(0.4, 2.2), ratio=draw.between(1, 2), rough=0.15
    )
    covered = canvas.cover(shape)
    if covered is not None:
        canvas.lay(*covered, gray([0.28, 0.02, 0.02]), CARD)


def markers_in_sight(canvas: Canvas, card: Placed, *, least_share: float = 0.97) -> list[int]:
    """Numbers of the markers that are whole in the picture and covered by nothing, or by little."""
    found = []
    for number, (x, y) in MARKERS.items():
        steps = np.linspace(0, MARKER_MM, 9)
        spots = np.stack(np.meshgrid(x + steps, y + steps), axis=-1).reshape(-1, 2)
        px = np.round(canvas.camera.to_px(card.to_face(points(spots)))).astype(int)
        height, width = canvas.shape
        inside = ((px >= 1) & (px < [width - 1, height - 1])).all()
        if inside and (canvas.labels[px[:, 1], px[:, 0]] == CARD).mean() > least_share:
            found.append(number)
    return found
