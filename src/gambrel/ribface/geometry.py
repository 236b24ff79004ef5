"""The shape of the eye in millimetres: area, length, width, ends and sides, and the fat line."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]

MOST_FAT_MM = 45.0
"""A longer line does not end on the surface of cover fat."""

MOST_GAP_MM = 25.0
"""Between points of the surface farther apart than this it is not seen; across less the surface, whose bend is some
8 cm, strays by no more than 1 mm from a straight line."""

OUT_OF_SQUARE = 0.17
"""A line to the last point that is seen of the surface may be so much out of square, ten degrees: more, and the
surface may come nearer where it is not seen."""

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
    x, y = points[corners].T
    apart = np.square(x[:, None] - x) + np.square(y[:, None] - y)
    first, last = (int(corners[at]) for at in np.unravel_index(int(apart.argmax()), apart.shape))
    length = float(np.hypot(*(points[last] - points[first])))
    x, y = (points[last] - points[first]) / length
    across = points @ np.array([-y, x])
    return Axis(points[first], points[last], length, float(across.max() - across.min()))


def last_crossings(polygon: Points, origins: Points, ways: Points) -> Points:
    """How far from each of `origins` (k, 2) along its unit vector of `ways` (k, 2) the line last crosses the polygon's
    edge (k,), behind the origin where that is below 0; minus infinity where it does not cross.
    """
    x, y = np.asarray(polygon, dtype=float).T
    across, down = np.roll(x, -1) - x, np.roll(y, -1) - y
    to_x, to_y = x - origins[:, :1], y - origins[:, 1:]
    way_x, way_y = ways[:, :1], ways[:, 1:]
    cross = way_x * down - way_y * across
    flat = np.abs(cross) < 1e-12
    cross[flat] = 1.0
    part = (to_x * way_y - to_y * way_x) / cross
    distance = (to_x * down - to_y * across) / cross
    return np.asarray(np.where(~flat & (part >= 0) & (part < 1), distance, -np.inf).max(axis=1))


def fat_line(
    polygon_mm: Points, axis_from_chine: Axis, surface_mm: Points, spread_mm: float
) -> FatLine | None:
    """The fat line from the eye's edge square to the outer surface, or None where it cannot be drawn.

    It is the perpendicular to the surface (a line of points (n, 2) in order along the eye) that runs through
    the point at three-quarters of the length from the chine end. [beef-grade-standard] Where the surface is not seen
    at its foot, because the line of points ends there or has a gap, it cannot be drawn.
    """
    axis = axis_from_chine
    point = axis.start + FAT_LINE_AT_SHARE * (axis.end - axis.start)
    foot = _foot(surface_mm, point)
    if foot is None:
        return None
    reach = float(np.hypot(*(foot - point)))
    if reach < 1e-6:
        return None
    outward = (foot - point) / reach
    edge = float(last_crossings(polygon_mm, point[None], outward[None])[0])
    if edge <= 0:
        return None
    at_eye = point + outward * edge
    thickness = max(0.0, reach - edge)
    if thickness > MOST_FAT_MM:
        return None
    return FatLine(at_eye, foot, thickness, spread_mm)


def _foot(line: Points, point: Points) -> Points | None:
    """The point of an open line (n, 2) [mm] that is nearest to `point`, its gaps left out.

    None where that is an end of what is seen and not square to it: the line may come nearer where it is not seen.
    """
    start, step = line[:-1], np.diff(line, axis=0)
    long = np.maximum(np.hypot(*step.T), 1e-6)
    part = np.einsum("ij,ij->i", point - start, step) / long**2
    near = start + np.clip(part, 0, 1)[:, None] * step
    seen = long <= MOST_GAP_MM
    if not seen.any():
        return None
    away = np.where(seen, np.hypot(*(near - point).T), np.inf)
    at = int(np.argmin(away))
    ends = (part[at] < 0 and not (at and seen[at - 1])) or (part[at] > 1 and not seen[at + 1 : at + 2].any())
    slant = abs(float(step[at] @ (near[at] - point))) / (long[at] * max(float(away[at]), 1e-6))
    return None if ends and slant > OUT_OF_SQUARE else np.asarray(near[at])


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
