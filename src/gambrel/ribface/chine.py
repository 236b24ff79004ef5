"""Which end of the eye is the chine: bone beside it, and the deeper end of the eye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.cover import Face
from gambrel.ribface.geometry import Axis, Points

SURE_MARGIN = 1.5
"""Scores nearer to each other than this are not sure: what a hint three fifths sure comes to by itself. Of 138 rendered
faces 6, of them the only one whose end was wrong; of 139 others 6, none of them among the 3 whose end was wrong."""

DEPTH_WORTH = 1.5
"""What a deeper end counts against a share of bone. Set on rendered faces."""

HINT_WORTH = 2.5
"""What a sure hint counts against a share of bone. Set on 144 rendered faces, of which it finds 143; on 145 others 142,
the hint alone 142, bone and depth without it 107."""

DIRECTIONS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "top": (0.0, -1.0), "bottom": (0.0, 1.0)}


@dataclass(frozen=True)
class Chine:
    """`axis` turned so that it starts at the chine; `margin` says how sure, infinity where it was given."""

    axis: Axis
    margin: float

    @property
    def sure(self) -> bool:
        return self.margin >= SURE_MARGIN


def chine_given(axis: Axis, ends_px: Points, where: str) -> Chine:
    """The end that lies towards `where` (left, right, top, bottom) in the picture; `ends_px` start, then end."""
    direction = np.array(DIRECTIONS[where])
    first, last = ends_px @ direction
    return Chine(axis if first >= last else axis.turned(), float("inf"))


def find_chine(
    face: Face,
    polygon_mm: Points,
    axis: Axis,
    outward: Points,
    *,
    lean_lab: NDArray[np.float64],
    fat_lab: NDArray[np.float64],
    to_chine: Points | None = None,
) -> Chine:
    """The chine end by the bone beyond and under each end, and by the depth of the eye at each end.

    `to_chine` (2,) [mm] points to the chine by the finder's hint; its length, 0 to 1, says how sure that is.
    """
    bone = [_bone_share(face, each, outward, lean_lab, fat_lab) for each in (axis, axis.turned())]
    depth = [_depth_at(polygon_mm, axis, share) for share in (0.2, 0.8)]
    margin = bone[0] - bone[1] + DEPTH_WORTH * (depth[0] - depth[1]) / max(*depth, 1.0)
    if to_chine is not None:
        margin -= HINT_WORTH * float(to_chine @ axis.along)
    return Chine(axis if margin >= 0 else axis.turned(), abs(margin))


def _depth_at(polygon_mm: Points, axis: Axis, share: float) -> float:
    """Extent of the eye square to its axis, in a narrow band [mm]."""
    along = (polygon_mm - axis.start) @ axis.along / axis.length_mm
    height = (polygon_mm - axis.start) @ axis.across
    band = height[np.abs(along - share) < 0.03]
    return float(band.max() - band.min()) if band.size else 0.0


def _bone_share(
    face: Face, axis: Axis, outward: Points, lean_lab: NDArray[np.float64], fat_lab: NDArray[np.float64]
) -> float:
    """Share of bone colour (between lean and fat in lightness, redder than fat) beyond and under the start."""
    total = 0.0
    for along, away in (((-45, -8), (-40, 20)), ((-20, 25), (-50, -25))):
        x, y = np.meshgrid(np.linspace(*along, 30), np.linspace(*away, 30))
        points = axis.start + x[..., None] * axis.along + y[..., None] * outward
        seen = face.at(points).reshape(-1, 3)
        seen = seen[np.isfinite(seen[:, 0])]
        if len(seen) < 100:
            continue
        between = (seen[:, 0] > lean_lab[0] + 12) & (seen[:, 0] < fat_lab[0] - 6)
        total += float(np.mean(between & (seen[:, 1] > fat_lab[1] + 4)))
    return total
