"""The shape of the eye in millimetres: area, length, width, ends and sides, and the fat line."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

MOST_FAT_MM = 45.0
"""A longer line does not end on the surface of cover fat."""

FAT_LINE_AT_SHARE = 0.75
"""Fat is measured at three-quarters of the eye's length from the chine end. [beef-grade-standard]"""


@dataclass(frozen=True)
class Axis:
    """The longest chord of the eye: its ends [mm] in the order found, and its length and the width across."""

    start: Points
    end: Points
    length_mm: float
    width_mm: float

    @property
    def along(self) -> Points:
        return np.asarray((self.end - self.start) / self.length_mm)

    @property
    def across(self) -> Points:
        x, y = self.along
        return np.array([-y, x])

    def turned(self) -> Axis:
        """The same axis from its other end."""
        return Axis(self.end, self.start, self.length_mm, self.width_mm)


@dataclass(frozen=True)
class FatLine:
    """Where fat was measured: on the eye's edge and on the outer surface [mm], and how far apart they are."""

    at_eye: Points
    at_surface: Points
    thickness_mm: float
    spread_mm: float


def area_mm2(polygon_mm: Points) -> float:
    """Area inside a polygon (n, 2) [mm2], by the shoelace formula."""
    x, y = np.asarray(polygon_mm, dtype=float).T
    x, y = x - x.mean(), y - y.mean()
    return float(abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2)


def centroid(polygon: Points) -> Points:
    """Centre of the area of a polygon (n, 2)."""
    shift = polygon.mean(axis=0)
    x, y = (polygon - shift).T
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    total = cross.sum()
    if abs(total) < 1e-12:
        return np.asarray(shift)
    return np.asarray(shift + np.array([((x + x1) * cross).sum(), ((y + y1) * cross).sum()]) / (3 * total))


def longest_chord(polygon_mm: Points) -> Axis:
    """Length of the eye as its longest chord, width as its extent square to it."""
    points = np.asarray(polygon_mm, dtype=float)
    # The longest chord ends at corners of the hull: a few dozen points where the outline has a thousand.
    corners = np.sort(cv2.convexHull(points.astype(np.float32), returnPoints=False).ravel())
    gap = points[corners][:, None, :] - points[corners][None, :, :]
    apart = np.einsum("ijk,ijk->ij", gap, gap)
    first, last = (int(corners[at]) for at in np.unravel_index(int(apart.argmax()), apart.shape))
    length = float(np.hypot(*(points[last] - points[first])))
    x, y = (points[last] - points[first]) / length
    across = points @ np.array([-y, x])
    return Axis(points[first], points[last], length, float(across.max() - across.min()))


def crossings(polygon: Points, origin: Points, direction: Points) -> Points:
    """Distances (k,) from `origin` along the unit `direction` at which the line crosses the polygon's edge."""
    start = np.asarray(polygon, dtype=float)
    edge = np.roll(start, -1, axis=0) - start
    away = start - origin
    cross = direction[0] * edge[:, 1] - direction[1] * edge[:, 0]
    flat = np.abs(cross) < 1e-12
    cross = np.where(flat, 1.0, cross)
    distance = (away[:, 0] * edge[:, 1] - away[:, 1] * edge[:, 0]) / cross
    part = (away[:, 0] * direction[1] - away[:, 1] * direction[0]) / cross
    return np.sort(distance[~flat & (part >= 0) & (part < 1)])


def fat_line(
    polygon_mm: Points, axis_from_chine: Axis, surface_mm: Points, spread_mm: float
) -> FatLine | None:
    """The fat line from the eye's edge square to the outer surface, or None where it cannot be drawn.

    It is the perpendicular to the surface (a line of points (n, 2) in order along the eye) that runs through
    the point at three-quarters of the length from the chine end. [beef-grade-standard]
    """
    axis = axis_from_chine
    point = axis.start + FAT_LINE_AT_SHARE * (axis.end - axis.start)
    foot = nearest_on_line(surface_mm, point)
    reach = float(np.hypot(*(foot - point)))
    if reach < 1e-6:
        return None
    outward = (foot - point) / reach
    edges = crossings(polygon_mm, point, outward)
    edges = edges[edges > 0]
    if not edges.size:
        return None
    at_eye = point + outward * float(edges.max())
    thickness = max(0.0, reach - float(edges.max()))
    if thickness > MOST_FAT_MM:
        return None
    return FatLine(at_eye, foot, thickness, spread_mm)


def nearest_on_line(line: Points, point: Points) -> Points:
    """The point of an open line (n, 2) that is nearest to `point`."""
    start, step = line[:-1], np.diff(line, axis=0)
    length = np.maximum(np.einsum("ij,ij->i", step, step), 1e-12)
    part = np.clip(np.einsum("ij,ij->i", point - start, step) / length, 0, 1)
    near = start + part[:, None] * step
    return np.asarray(near[int(np.argmin(np.hypot(*(near - point).T)))])


def resampled(polygon: Points, count: int) -> Points:
    """A closed polygon with `count` corners, evenly spaced along its edge."""
    closed = np.vstack([polygon, polygon[:1]])
    steps = np.hypot(*np.diff(closed, axis=0).T)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    at = np.linspace(0, along[-1], count, endpoint=False)
    return np.column_stack([np.interp(at, along, closed[:, k]) for k in (0, 1)])


def inside_points(polygon: Points, rings: int = 24) -> Points:
    """Points (n, 2) spread over the inside of a polygon, a little off its edge."""
    middle = centroid(polygon)
    return np.concatenate([middle + (polygon - middle) * part for part in np.linspace(0.05, 0.9, rings)])
