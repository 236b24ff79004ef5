"""Painting the cut face: lean, fat and bone with their textures, marbling, smears, and wet shine."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np

from . import noise
from .anatomy import Face, Piece
from .arrays import EYE, FAT, Bytes, Colour, Gray, Points, Window, gray, points
from .camera import Camera, local_map, window_of
from .canvas import Canvas, between_ends, cut
from .colours import Look
from .draw import Draw
from .marbling import Deposits

MOST_GLARE_SHARE = 0.2
"""A face of which more shines than this is turned from the lamp before the picture is taken."""


@dataclass(frozen=True)
class Grain:
    """The textures of one face over its window of the picture."""

    window: Window
    fibre: Gray
    blotch: Gray
    speckle: Gray
    fat_here: Gray  # marbling of the other muscles
    strength: float
    soft_px: float


@dataclass(frozen=True)
class EyePaint:
    """The painted eye: its window, coverage, fat share (0 to 1) and surface colour before light."""

    window: Window
    alpha: Gray
    fat: Gray
    lean_colour: Colour  # (3,) mean linear


def to_picture(deposits: Deposits, camera: Camera, window: Window) -> Gray:
    """Deposits as seen in a window of the picture: the share of fat of every pixel."""
    height, width = deposits.fat.shape
    corner = points([deposits.x0_mm, deposits.y1_mm])
    span = points([width, height]) / deposits.px_per_mm
    square = points([[0, 0], [1, 0], [1, 1], [0, 1]])
    corners_mm = corner + square * span * points([1, -1])
    finer = deposits.px_per_mm / camera.px_per_mm(corners_mm.mean(axis=0))
    fat = deposits.fat
    if finer > 1.1:
        size = max(2, round(width / finer)), max(2, round(height / finer))
        fat = gray(cv2.resize(fat, size, interpolation=cv2.INTER_AREA))
    grid = square * points([fat.shape[1], fat.shape[0]]) - 0.5
    shift = points([[1, 0, -window[0]], [0, 1, -window[1]], [0, 0, 1]])
    matrix = shift @ local_map(camera, grid, corners_mm)
    return gray(cv2.warpPerspective(fat, matrix, (window[2] - window[0], window[3] - window[1])))


def make_grain(draw: Draw, canvas: Canvas, face: Face, other: Deposits | None) -> Grain | None:
    """Textures for a face, or None where the face lies outside the picture."""
    window = window_of(canvas.camera.to_px(face.outline), canvas.shape[1], canvas.shape[0], margin=6)
    if window is None:
        return None
    shape = (window[3] - window[1], window[2] - window[0])
    px = canvas.camera.px_per_mm(face.outline.mean(axis=0))
    fibre = noise.fractal(draw, shape, draw.between(0.5, 1.6) * px, octaves=2, gain=0.8,
                          stretch=draw.between(1, 4), angle_rad=draw.between(0, math.pi))  # fmt: skip
    blotch = noise.fractal(draw, shape, draw.log_between(8, 40) * px, octaves=3, gain=0.6)
    speckle = noise.fractal(draw, shape, draw.between(2.0, 7.0) * px, octaves=3, gain=0.8)
    fat_here = np.zeros(shape, np.float32) if other is None else to_picture(other, canvas.camera, window)
    return Grain(window, fibre, blotch, speckle, fat_here, draw.between(0.4, 1.6), draw.between(0, 0.35) * px)


def _surface(piece: Piece, look: Look, grain: Grain, window: Window) -> Colour:
    """The colour of a piece before marbling."""
    blotch, fibre = cut(grain.blotch, grain.window, window), cut(grain.fibre, grain.window, window)
    speckle = cut(grain.speckle, grain.window, window)
    middle = np.float32(0.5 + 0.45 * piece.shade)
    s = grain.strength
    if piece.look == "lean":
        lean = between_ends(look.lean, middle + np.float32(0.35 * s) * blotch + np.float32(0.16 * s) * fibre)
        rough = np.clip(1 + np.float32(piece.rough) * speckle, 0.3, 1.8)[..., None]
        return np.asarray(lean * gray(piece.tone) * rough, dtype=np.float32)
    if piece.look == "fat":
        return between_ends(look.fat, middle + np.float32(0.35 * s) * blotch + np.float32(0.3 * s) * speckle)
    ends = look.bone if piece.look == "bone" else (look.cartilage * 0.85, look.cartilage)
    return between_ends(ends, middle + np.float32(0.5 * s) * speckle)


def _own_tone(draw: Draw, colour: Colour, speckle: Gray, *, is_eye: bool) -> None:
    """A muscle darker, paler, browner or rougher than its neighbours, as two-toned faces are; in place."""
    if not draw.chance(0.12 if is_eye else 0.4):
        return
    spread = 1.25 if is_eye else 1.8
    light = draw.log_between(1 / spread, spread)
    colour *= gray([light * draw.between(0.88, 1.12) for _ in range(3)])
    if not is_eye and draw.chance(0.5):
        colour *= np.clip(1 + np.float32(draw.between(0.1, 0.45)) * speckle, 0.3, 1.8)[..., None]


def _mix_fat(colour: Colour, fat: Gray, look: Look, shade: float) -> None:
    """Blend fat into a lean surface, in place."""
    tone = look.fat[0] + (look.fat[1] - look.fat[0]) * np.float32(0.5 + 0.4 * shade)
    for k in range(3):
        colour[..., k] += fat * (tone[k] - colour[..., k])


def _let_through(draw: Draw, fat: Gray, px: float) -> Gray:
    """How much of the lean each pixel's fat hides: broad deposits all of it, thin threads let some shine through."""
    near = cv2.GaussianBlur(fat, (0, 0), max(0.5 * px, 0.6))
    return gray(fat * (1 - np.float32(draw.between(0, 0.35)) * (1 - np.minimum(1, near / 0.8))))


def _skin(
    canvas: Canvas, outline_px: Points, window: Window, width_px: float, colour: Colour, dense: Gray
) -> None:
    """A thin light skin along the edge of a muscle."""
    x0, y0, x1, y1 = window
    line: Bytes = np.zeros((y1 - y0, x1 - x0), np.uint8)
    thick = max(1, round(width_px))
    at = np.round((outline_px - points([x0, y0])) * 16).astype(np.int32)
    cv2.polylines(line, [at], True, int(255 * min(1.0, width_px / thick)), thick, cv2.LINE_AA, 4)
    canvas.lay(window, gray(line) * dense, colour, None)


def paint_face(draw: Draw, canvas: Canvas, face: Face, look: Look, eye_fat: Deposits | None,
               other: Deposits | None) -> EyePaint | None:  # fmt: skip
    """Paint a face; gives back the painted eye, or None where there is none in the picture."""
    grain = make_grain(draw, canvas, face, other)
    base = canvas.cover(face.outline)
    if grain is None or base is None:
        return None
    window, whole = base
    canvas.lay(window, whole, _surface(Piece(face.outline, FAT, "fat"), look, grain, window), FAT)
    px = canvas.camera.px_per_mm(points([0.0, 0.0]))
    _stain_fat(draw, canvas, window, whole, look, px)
    painted: EyePaint | None = None
    for piece in face.pieces:
        outline_px = canvas.camera.to_px(piece.outline)
        covered = canvas.cover_px(outline_px)
        if covered is None:
            continue
        here, alpha = covered
        inner = _meet(here, window)
        if inner is None:
            continue
        alpha = cut(alpha, here, inner) * cut(whole, window, inner)
        colour = _surface(piece, look, grain, inner)
        if piece.look == "lean":
            _own_tone(draw, colour, cut(grain.speckle, grain.window, inner), is_eye=piece.label == EYE)
        if piece.label == EYE and eye_fat is not None:
            fat = to_picture(eye_fat, canvas.camera, inner)
            painted = EyePaint(inner, alpha, fat * alpha, _mean(colour, alpha * (fat < 0.05)))
            _mix_fat(colour, _let_through(draw, fat, px), look, draw.between(-1, 1))
        elif piece.look == "lean" and piece.marbled > 0:
            fat = np.minimum(cut(grain.fat_here, grain.window, inner) * np.float32(piece.marbled), 1)
            _mix_fat(colour, fat, look, piece.shade)
        canvas.lay(inner, alpha, colour, piece.label, soft_px=grain.soft_px)
        if piece.rim_mm > 0:
            dense = cut(whole, window, inner) * np.float32(draw.between(0.2, 0.7) / 255)
            _skin(canvas, outline_px, inner, piece.rim_mm * px, look.fat[0], dense)
    _weather(draw, canvas, window, whole, grain)
    return painted


def _stain_fat(draw: Draw, canvas: Canvas, window: Window, whole: Gray, look: Look, px: float) -> None:
    """Streaks and blots of lean and blood in the fat, laid before the muscles."""
    if not draw.chance(0.5):
        return
    shape = (window[3] - window[1], window[2] - window[0])
    score = noise.fractal(draw, shape, draw.log_between(2, 18) * px, stretch=draw.log_between(1, 5),
                          angle_rad=draw.between(0, math.pi), gain=0.7)  # fmt: skip
    stain = np.clip((score - draw.between(0.5, 1.2)) * draw.between(1, 5), 0, 1) * whole
    canvas.lay(window, gray(stain * np.float32(draw.between(0.2, 0.9))), look.lean[1], None)


def _meet(a: Window, b: Window) -> Window | None:
    x0, y0, x1, y1 = max(a[0], b[0]), max(a[1], b[1]), min(a[2], b[2]), min(a[3], b[3])
    return (x0, y0, x1, y1) if x1 > x0 and y1 > y0 else None


def _mean(colour: Colour, weight: Gray) -> Colour:
    total = max(float(weight.sum(dtype=np.float64)), 1e-6)
    return gray([float((colour[..., k] * weight).sum(dtype=np.float64)) / total for k in range(3)])


def _weather(draw: Draw, canvas: Canvas, window: Window, whole: Gray, grain: Grain) -> None:
    """What lies on the face: saw marks, blood, bone dust, a dried rim, and the wet shine."""
    x0, y0, x1, y1 = window
    part = canvas.light[y0:y1, x0:x1]
    shape = (y1 - y0, x1 - x0)
    px = canvas.camera.px_per_mm(points([0.0, 0.0]))
    shade = np.ones(shape, np.float32)
    if draw.chance(0.35):
        shade += np.float32(draw.between(0.02, 0.09)) * noise.field(
            draw, shape, draw.between(0.8, 3) * px, stretch=40, angle_rad=draw.between(0, math.pi))  # fmt: skip
    if draw.chance(0.3):
        reach = draw.between(2, 9) * px
        small = cv2.resize(
            whole, (max(shape[1] // 4, 1), max(shape[0] // 4, 1)), interpolation=cv2.INTER_AREA
        )
        near = cv2.resize(cv2.GaussianBlur(small, (0, 0), max(reach / 4, 0.6)), (shape[1], shape[0]))
        shade *= 1 - np.float32(draw.between(0.1, 0.5)) * np.clip(2 - 2 * gray(near), 0, 1)
    part *= (1 + whole * (shade - 1))[..., None]
    if draw.chance(0.3):
        film = np.clip(
            noise.fractal(draw, shape, draw.log_between(6, 30) * px) - draw.between(0.3, 1.0), 0, 1
        )
        film *= whole * np.float32(draw.between(0.2, 0.8))
        part *= 1 - film[..., None] * gray([0.35, 0.85, 0.85])
    if draw.chance(0.08):  # the green and pink play of light on sliced fibres
        play = (
            np.clip(noise.field(draw, shape, 9 * px) - 0.2, 0, 1) * whole * np.float32(draw.between(0.1, 0.4))
        )
        part *= 1 + play[..., None] * (gray([0.1, 1.0, 0.6]) if draw.chance(0.6) else gray([0.8, 0.2, 0.7]))
    if draw.chance(0.25):  # bone dust: a saw leaves grains of a few tenths of a millimetre
        dust = np.clip(noise.field(draw, shape, draw.between(0.15, 0.45) * px) - draw.between(1.3, 1.9), 0, 1)
        patchy = np.clip(noise.field(draw, shape, 25 * px) + 0.3, 0, 1)
        dust *= whole * patchy * np.float32(draw.between(0.5, 2.0))
        part += np.minimum(dust, 0.8)[..., None] * (gray([0.6, 0.52, 0.46]) - part)
    _shine(draw, canvas, window, whole, grain, px)


def _shine(draw: Draw, canvas: Canvas, window: Window, whole: Gray, grain: Grain, px: float) -> None:
    """Wet shine: the film mirrors the lamp where the surface leans half-way between lamp and camera.

    The leaning of the surface is that of its bumps and fibres; the way it must lean to mirror the lamp changes
    slowly over the face. The mirrored light falls off softly about that (a Gaussian lobe), is of the lamp's colour
    (`apply_light`), lies on top of lean and fat alike, and may be many times white. A face too much of which shines
    is turned from the lamp, as anyone does who cannot see the meat.
    """
    x0, y0, x1, y1 = window
    shape = (y1 - y0, x1 - x0)
    wet = draw.pick([0.0, 0.0, 0.3, 0.6, 1.0])
    if wet == 0:
        return
    fine = noise.field(draw, shape, draw.log_between(0.5, 2.2) * px, stretch=draw.between(1, 4),
                       angle_rad=draw.between(0, math.pi))  # fmt: skip
    broad = noise.fractal(draw, shape, draw.log_between(10, 50) * px, octaves=2)
    fibre = cut(grain.fibre, grain.window, window)
    steep = (draw.between(0.05, 0.2), draw.between(0.03, 0.12), draw.between(0, 0.06))
    wanted = draw.between(0, 2 * math.pi)
    lamp_away = (
        draw.between(0.05, 0.15) if draw.chance(0.1) else draw.between(0.15, 0.6)
    )  # flash, or lamps aside
    turns_per_px = 1 / (draw.between(500, 1600) * px)
    rough = draw.log_between(0.02, 0.08)
    peak = draw.log_between(0.5, 12) * min(2.0, 0.04 / rough)
    patches = noise.fractal(draw, shape, draw.log_between(6, 30) * px, octaves=2)
    film = np.clip((patches + np.float32(2 * wet - 0.8)) * 2, 0, 1) * whole
    leans = [sum(_slope(bumps, axis, each) for bumps, each in zip((fine, broad, fibre), steep, strict=True))
             for axis in (0, 1)]  # fmt: skip
    for _ in range(8):
        apart = np.zeros(shape, np.float32)
        for axis, towards in ((0, math.sin(wanted)), (1, math.cos(wanted))):
            place = np.arange(shape[axis], dtype=np.float32) - shape[axis] / 2
            mirror = np.float32(lamp_away * towards) + np.float32(turns_per_px) * place
            apart += (leans[axis] - (mirror[:, None] if axis == 0 else mirror[None, :])) ** 2
        mirrored = np.float32(peak) * film * np.exp(apart * np.float32(-0.5 / rough**2))
        if float((mirrored > 0.1).sum()) < MOST_GLARE_SHARE * float(whole.sum()):
            break
        lamp_away += 0.08
    canvas.gloss[y0:y1, x0:x1] += mirrored
    if draw.chance(0.3):  # a film that lifts the dark
        canvas.gloss[y0:y1, x0:x1] += np.float32(0.06 * wet) * np.clip(broad + 0.3, 0, 1) * whole


def _slope(bumps: Gray, axis: int, spread: float) -> Gray:
    """How the surface leans along an axis, as rise over run with a spread of `spread`."""
    rise = cv2.Sobel(bumps, cv2.CV_32F, axis, 1 - axis, ksize=3)
    return gray(rise * np.float32(spread / max(float(rise[::4, ::4].std()), 1e-6)))
