"""A made face of known sizes beside a made card, seen by a made camera: plain shapes, for the tests."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.light import PATCH_LEFT_MM, PATCH_SIDE_MM, PATCH_TOP_MM, PATCH_VALUES
from gambrel.ribface.markers import MARKER_AT_MM, MARKER_MM
from gambrel.ribface.plane import BAR_AT_MM, CARD_MM

FINE = 10  # canvas px per mm
CANVAS_MM = (-20.0, -15.0, 225.0, 225.0)
LEAN, FAT, BONE, BACK = (62, 52, 128), (196, 214, 226), (140, 150, 200), (48, 46, 44)  # B, G, R


@dataclass(frozen=True)
class Made:
    """What to draw; millimetres on the card's own grid. The eye is an ellipse, its cover fat flat on top."""

    centre: tuple[float, float] = (95.0, 140.0)
    half: tuple[float, float] = (70.0, 32.0)
    cover_mm: float = 9.0
    flecks: int = 0
    fleck_mm: tuple[float, float] = (1.0, 5.0)
    chine_right: bool = True
    hide: tuple[int, ...] = ()
    tilt: float = 0.0
    size: tuple[int, int] = (1960, 1920)
    blur_px: float = 1.0
    gain: tuple[float, float, float] = (1.0, 1.0, 1.0)
    gamma: float = 1.0
    noise: float = 1.0
    glints: int = 0


PLAIN = Made()


@dataclass(frozen=True)
class Scene:
    bgr: NDArray[np.uint8]
    to_px: NDArray[np.float64]
    outline_px: NDArray[np.float64]
    area_cm2: float
    length_cm: float
    width_cm: float
    fat_mm: float
    marbling_pct: float
    made: Made = field(default_factory=Made)


def through(matrix: NDArray[np.float64], points: NDArray[np.float64]) -> NDArray[np.float64]:
    lifted = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return lifted[:, :2] / lifted[:, 2:]


def box(
    canvas: NDArray[np.uint8], x0: float, y0: float, x1: float, y1: float, colour: tuple[int, ...]
) -> None:
    left, top = CANVAS_MM[0], CANVAS_MM[1]
    a = (round((x0 - left) * FINE), round((y0 - top) * FINE))
    b = (round((x1 - left) * FINE), round((y1 - top) * FINE))
    canvas[a[1] : b[1], a[0] : b[0]] = colour


def draw_card(canvas: NDArray[np.uint8], hide: tuple[int, ...]) -> None:
    box(canvas, 0, 0, *CARD_MM, (244, 244, 244))
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    for number, (x, y) in MARKER_AT_MM.items():
        if number in hide:
            continue
        side = round(MARKER_MM * FINE)
        mark = cv2.aruco.generateImageMarker(dictionary, number, side)
        row, column = round((y - CANVAS_MM[1]) * FINE), round((x - CANVAS_MM[0]) * FINE)
        canvas[row : row + side, column : column + side] = mark[..., None]
    for value, left in zip(PATCH_VALUES, PATCH_LEFT_MM, strict=True):
        box(canvas, left, PATCH_TOP_MM, left + PATCH_SIDE_MM, PATCH_TOP_MM + PATCH_SIDE_MM, (value,) * 3)
    left, right, y = BAR_AT_MM
    box(canvas, left, y - 0.25, right, y + 0.25, (10, 10, 10))


def draw_face(canvas: NDArray[np.uint8], made: Made, rng: np.random.Generator) -> int:
    """Draws the face and returns the canvas px of flecks inside the eye."""
    (x, y), (a, b) = made.centre, made.half
    box(canvas, x - a - 24, y - b - made.cover_mm, x + a + 24, y + b + 6, FAT)
    box(canvas, x - a - 24, y + b + 6, x + a + 24, y + b + 40, LEAN)
    side = 1 if made.chine_right else -1
    for x0, y0, x1, y1 in ((a + 4, -10, a + 23, b), (a - 25, b + 7, a + 23, b + 38)):
        ends = sorted((x + side * x0, x + side * x1))
        box(canvas, ends[0], y + y0, ends[1], y + y1, BONE)
    middle = (round((x - CANVAS_MM[0]) * FINE), round((y - CANVAS_MM[1]) * FINE))
    cv2.ellipse(canvas, middle, (round(a * FINE), round(b * FINE)), 0, 0, 360, LEAN, cv2.FILLED)
    eye = np.zeros(canvas.shape[:2], np.uint8)
    cv2.ellipse(eye, middle, (round((a - 1) * FINE), round((b - 1) * FINE)), 0, 0, 360, 1, cv2.FILLED)
    fleck = np.zeros_like(eye)
    places = [(u, v) for u in np.arange(-a, a, 6.0) for v in np.arange(-b, b, 8.0)
              if (u / (a - 6)) ** 2 + (v / (b - 6)) ** 2 < 1]  # fmt: skip
    picked = rng.permutation(len(places))
    for k in picked[: made.flecks]:
        u, v = places[k]
        wide, tall = made.fleck_mm
        at = (x + u - CANVAS_MM[0], y + v - CANVAS_MM[1])
        cols, rows = (
            [round((at[0] + d) * FINE) for d in (0, wide)],
            [round((at[1] + d) * FINE) for d in (0, tall)],
        )
        fleck[rows[0] : rows[1], cols[0] : cols[1]] = 1
    canvas[(fleck & eye) > 0] = FAT
    for k in picked[made.flecks : made.flecks + made.glints]:
        u, v = places[k]
        spot = (round((x + u + 2 - CANVAS_MM[0]) * FINE), round((y + v + 2 - CANVAS_MM[1]) * FINE))
        cv2.circle(canvas, spot, 4, (255, 255, 255), cv2.FILLED)
    return int((fleck & eye).sum())


@cache
def make_scene(made: Made = PLAIN) -> Scene:
    """The picture and its truth; the same request gives the same scene, which nobody may change."""
    rng = np.random.default_rng(7)
    left, top, right, bottom = CANVAS_MM
    canvas = np.full((round((bottom - top) * FINE), round((right - left) * FINE), 3), BACK, np.uint8)
    draw_card(canvas, made.hide)
    fleck_px = draw_face(canvas, made, rng)
    wide, high = made.size
    inset = made.tilt * wide
    quad = np.array([[inset, inset / 2], [wide - 1 - inset, inset / 2], [wide - 1, high - 1], [0, high - 1]])
    corners = np.array([[0, 0], [canvas.shape[1] - 1, 0], [canvas.shape[1] - 1, canvas.shape[0] - 1],
                        [0, canvas.shape[0] - 1]])  # fmt: skip
    camera = cv2.getPerspectiveTransform(corners.astype(np.float32), quad.astype(np.float32)).astype(float)
    soft = cv2.GaussianBlur(((canvas / 255.0) ** 2.2).astype(np.float32), (0, 0), 0.6)
    seen = cv2.warpPerspective(soft, camera, made.size, flags=cv2.INTER_LINEAR)
    light = seen.astype(float) * np.array(made.gain)
    if made.blur_px:  # a lens mixes light, so the blur comes before the tone curve
        light = cv2.GaussianBlur(light, (0, 0), made.blur_px)
    bent = np.clip(light, 0, 1) ** (made.gamma / 2.2) * 255
    bent += rng.normal(0, made.noise, bent.shape)
    mm_to_canvas = np.array([[FINE, 0, -left * FINE - 0.5], [0, FINE, -top * FINE - 0.5], [0, 0, 1.0]])
    to_px = camera @ mm_to_canvas
    (x, y), (a, b) = made.centre, made.half
    turn = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    outline = np.column_stack([x + a * np.cos(turn), y + b * np.sin(turn)])
    area = np.pi * a * b
    return Scene(
        bgr=np.clip(np.round(bent), 0, 255).astype(np.uint8),
        to_px=to_px,
        outline_px=through(to_px, outline),
        area_cm2=area / 100,
        length_cm=2 * a / 10,
        width_cm=2 * b / 10,
        fat_mm=made.cover_mm + b - b * np.sqrt(0.75),
        marbling_pct=100 * fleck_px / FINE**2 / area,
        made=made,
    )
