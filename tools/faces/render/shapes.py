"""Closed outlines in the plane: smoothing, offsets, chords, and the families of rib eyes."""

from __future__ import annotations

import math

import cv2
import numpy as np

from .arrays import Points, points
from .draw import Draw

COUNT = 512  # points of an outline


def area(outline: Points) -> float:
    """Area inside a closed outline, in the square of its unit."""
    x, y = outline[:, 0], outline[:, 1]
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def resample(outline: Points, count: int = COUNT) -> Points:
    """The closed outline with its points evenly spaced; the first stays."""
    closed = np.vstack([outline, outline[:1]])
    steps = np.hypot(*np.diff(closed, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    wanted = np.linspace(0, along[-1], count, endpoint=False)
    return np.stack([np.interp(wanted, along, closed[:, k]) for k in (0, 1)], axis=1)


def smooth(outline: Points, sigma: float) -> Points:
    """The closed outline with waves shorter than about `sigma` points taken out."""
    n = len(outline)
    keep = np.exp(-0.5 * (2 * np.pi * np.fft.fftfreq(n) * sigma) ** 2)
    wave = np.fft.ifft(np.fft.fft(outline[:, 0] + 1j * outline[:, 1]) * keep)
    return np.stack([wave.real, wave.imag], axis=1)


def normals(outline: Points) -> Points:
    """Unit normals pointing out of an outline that runs counter-clockwise with y up."""
    tangent = np.roll(outline, -1, axis=0) - np.roll(outline, 1, axis=0)
    length = np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    return points(np.stack([tangent[:, 1], -tangent[:, 0]], axis=1) / length)


def longest_chord(outline: Points) -> tuple[Points, Points]:
    """The two points of the outline that lie farthest apart."""
    hull = points(cv2.convexHull(outline.astype(np.float32)).reshape(-1, 2))
    apart = np.hypot(hull[:, None, 0] - hull[None, :, 0], hull[:, None, 1] - hull[None, :, 1])
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    return hull[i], hull[j]


def inside(outline: Points, at: Points) -> bool:
    return cv2.pointPolygonTest(outline.astype(np.float32), (float(at[0]), float(at[1])), False) >= 0


def turn(outline: Points, angle_rad: float) -> Points:
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return outline @ points([[c, s], [-s, c]])


def waves(draw: Draw, count: int, low: int, high: int, fall: float) -> Points:
    """A closed random curve of `count` values made of waves `low` to `high`, spread about 1, falling with order."""
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    total = np.zeros(count)
    power = 0.0
    for k in range(low, high + 1):
        weight = (low / k) ** fall
        total += weight * draw.rng.normal() * np.cos(k * t + draw.between(0, 2 * np.pi))
        power += weight * weight / 2
    return points(total / math.sqrt(power))


def blob(draw: Draw, centre: Points, radius_mm: float, *, ratio: float = 1.0, rough: float = 0.12) -> Points:
    """A rounded random shape about a centre."""
    t = np.linspace(0, 2 * np.pi, 160, endpoint=False)
    r = radius_mm * (1 + rough * waves(draw, 160, 2, 9, 1.2))
    r = np.maximum(r, radius_mm * 0.3)
    shape = np.stack([r * np.cos(t) * math.sqrt(ratio), r * np.sin(t) / math.sqrt(ratio)], axis=1)
    return turn(shape, draw.between(0, 2 * np.pi)) + centre


def ribbon(spine: Points, half: Points) -> Points:
    """A band of varying half-width about an open line."""
    tangent = np.gradient(spine, axis=0)
    tangent /= np.maximum(np.hypot(*tangent.T), 1e-9)[:, None]
    side = np.stack([-tangent[:, 1], tangent[:, 0]], axis=1) * half[:, None]
    return np.vstack([spine + side, (spine - side)[::-1]])


def _body(draw: Draw, spread: float) -> Points:
    """An eye before scaling: a superellipse made blunt, triangular, bent or one-sided."""
    t = np.linspace(0, 2 * np.pi, COUNT, endpoint=False)
    c, s = np.cos(t), np.sin(t)
    # each end and each side has its own roundness
    ends = np.where(c > 0, draw.bell(2.0, 0.3 * spread, 1.35, 3.4), draw.bell(2.3, 0.4 * spread, 1.5, 4.0))
    u = np.sign(c) * np.abs(c) ** (2 / ends)
    v = np.sign(s) * np.abs(s) ** (2 / draw.bell(2.1, 0.3 * spread, 1.4, 3.2))
    v *= np.where(v > 0, draw.bell(1.0, 0.15 * spread, 0.6, 1.5), draw.bell(1.0, 0.15 * spread, 0.6, 1.5))
    v *= draw.bell(0.52, 0.075 * spread, 0.33, 0.82)
    taper = draw.bell(0.18, 0.22 * spread, -0.5, 0.75)  # the tail end is usually the narrower
    v *= 1 - taper * u + draw.bell(0, 0.10 * spread, -0.25, 0.25) * (u * u - 0.4)
    v += draw.bell(0, 0.09 * spread, -0.28, 0.28) * (1 - 2 * u * u)  # kidney
    u = u + draw.bell(0, 0.2 * spread, -0.6, 0.6) * v  # leaning
    return np.stack([u, v], axis=1)


def _dents(draw: Draw, count: int, spread: float) -> Points:
    """Notches and bulges as a factor of the radius, one for each point."""
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    factor = 1 + 0.03 * spread * waves(draw, count, 3, 9, 1.0)
    for _ in range(draw.pick([0, 0, 0, 1, 1, 2])):
        away = np.angle(np.exp(1j * (t - draw.between(0, 2 * np.pi))))
        depth = draw.bell(0.05, 0.06 * spread, -0.10, 0.22)
        factor -= depth * np.exp(-0.5 * (away / draw.between(0.08, 0.35)) ** 2)
    return points(factor)


def eye_outline(draw: Draw, *, area_mm2: float, spread: float) -> Points:
    """A rib eye in mm about its middle, counter-clockwise, chine end at -x, outside at +y."""
    body = _body(draw, spread) * _dents(draw, COUNT, spread)[:, None]
    body = smooth(resample(body), draw.between(2, 7))
    body *= math.sqrt(area_mm2 / area(body))
    wiggle_mm = draw.pick([0.0, 0.1, 0.2, 0.3, 0.5])
    body = body + normals(body) * (wiggle_mm * waves(draw, COUNT, 9, 50, 1.0))[:, None]
    body -= body.mean(axis=0)
    return turn(body * math.sqrt(area_mm2 / area(body)), draw.bell(0, 0.12 * spread, -0.4, 0.4))
