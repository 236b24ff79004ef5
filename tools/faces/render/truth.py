"""What is true of a rendered face, measured on its outlines in mm and carried to the picture."""

from __future__ import annotations

from typing import Any

import numpy as np

from . import shapes
from .anatomy import Face
from .arrays import Points, points
from .camera import Camera


def chine_and_tail(face: Face) -> tuple[Points, Points]:
    """Ends of the eye's longest chord in mm: chine end first.

    The chine lies on the side of the face away from the tail: at -x before mirroring. The upper edge runs
    from chine to tail, which tells the two apart after it.
    """
    a, b = shapes.longest_chord(face.eye)
    way = 1.0 if face.upper is None else float(face.upper[-1, 0] - face.upper[0, 0])
    return (a, b) if (b[0] - a[0]) * way > 0 else (b, a)


def fat_line(face: Face) -> Points | None:
    """The line of the fat thickness (2, 2) in mm: on the outside, then on the eye; None without a cover.

    From the point at three-quarters of the long axis from the chine end, perpendicular to the outside; what
    lies beyond the eye is the thickness.
    """
    if face.upper is None or not len(face.eye):
        return None
    chine, tail = chine_and_tail(face)
    site = chine + 0.75 * (tail - chine)
    a, b = face.upper[:-1], face.upper[1:]
    along = b - a
    share = np.clip(((site - a) * along).sum(axis=1) / np.maximum((along**2).sum(axis=1), 1e-12), 0, 1)
    feet = a + along * share[:, None]
    foot = feet[int(np.hypot(*(feet - site).T).argmin())]
    out = _leaving(face.eye, site, foot)
    return None if out is None else np.stack([foot, out])


def _leaving(outline: Points, start: Points, end: Points) -> Points | None:
    """Where the line from start to end leaves the outline for the last time."""
    heading = end - start
    a, b = outline, np.roll(outline, -1, axis=0)
    edge = b - a
    cross = heading[0] * edge[:, 1] - heading[1] * edge[:, 0]
    safe = np.where(np.abs(cross) < 1e-12, 1e-12, cross)
    off = a - start
    t = (off[:, 0] * edge[:, 1] - off[:, 1] * edge[:, 0]) / safe
    s = (off[:, 0] * heading[1] - off[:, 1] * heading[0]) / safe
    hit = (s >= 0) & (s < 1) & (t > 0) & (t <= 1.0001)
    return start + float(t[hit].max()) * heading if hit.any() else None


def eye_measures(face: Face, camera: Camera) -> dict[str, Any]:
    """Sizes in cm and mm, and where they lie in the picture."""
    chine, tail = chine_and_tail(face)
    axis = (tail - chine) / np.hypot(*(tail - chine))
    across = (face.eye - chine) @ points([-axis[1], axis[0]])
    line = fat_line(face)
    ends_px = camera.to_px(np.stack([chine, tail]))
    away = ends_px[0] - ends_px[1]
    if abs(away[0]) >= abs(away[1]):
        chine_at = "left" if away[0] < 0 else "right"
    else:
        chine_at = "top" if away[1] < 0 else "bottom"
    return {
        "eye_outline_px": camera.to_px(face.eye).round(3).tolist(),
        "eye_area_cm2": round(shapes.area(face.eye) / 100, 4),
        "eye_length_cm": round(float(np.hypot(*(tail - chine))) / 10, 4),
        "eye_width_cm": round(float(across.max() - across.min()) / 10, 4),
        "long_axis_px": ends_px.round(3).tolist(),
        "chine_at": chine_at,
        "fat_thickness_mm": None if line is None else round(float(np.hypot(*(line[0] - line[1]))), 3),
        "fat_line_px": None if line is None else camera.to_px(line).round(3).tolist(),
    }
