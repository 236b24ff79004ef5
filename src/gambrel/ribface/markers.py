"""The markers of the scale card: where each is seen, to a fraction of a pixel, and whether there are two cards."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.geometry import Points, area_mm2
from gambrel.ribface.shrink import Picture, cut_out, halved

MARKER_MM = 16.0
MARKER_AT_MM = {10: (4.0, 4.0), 11: (85.0, 4.0), 12: (85.0, 54.0), 13: (4.0, 54.0)}

TO_LIGHT: Picture = np.round(255 * (np.arange(256) / 255) ** 2.2).astype(np.uint8)
"""Markers not seen in picture values are looked for in light: blur mixes light, and in picture values the white
swallows the black."""

SECOND_CARD_SHARE = 0.4
"""A marker seen again at least so large against the first belongs to a second card."""

ROUND_MARKERS_MM = 16.0
"""So far around where the outer markers should lie the others are looked for, once two are found."""

ONE_CARD_SHARE = 0.15
"""Markers of which a corner lies farther than this share of their side off its place on a flat card are not of one."""

REACH_SHARE = 1 / 8
"""How far from where it was seen a corner is looked for, of the marker's side."""


def find_markers(bgr: Picture) -> dict[int, list[Points]]:
    """Marker number to the corners (4, 2) in picture px wherever it is seen, refined in the full picture.

    Where enough markers are seen but not all, the others are looked for about where the card lies alone.
    """
    found: dict[int, list[Points]] = {}
    big = max(bgr.shape[:2])
    for often in [often for often in (2, 1, 0) if often == 0 or big / 2**often > 700]:
        known = -1
        for windows, in_light in ((1, False), (3, False), (3, True)):
            if len(found) == len(MARKER_AT_MM):
                break
            if len(found) > known:
                known = len(found)
                corner, part = _around_card(bgr, found)
                small = _green(part, often)
            seen = cv2.LUT(small, TO_LIGHT) if in_light else small
            _collect(found, *_detector(windows).detectMarkers(seen)[:2], often=often, corner=corner)
        if len(found) == len(MARKER_AT_MM) or (often <= 1 and len(found) >= refuse.MARKERS_NEEDED):
            break
    return {number: [_refined(bgr, quad) for quad in quads] for number, quads in found.items()}


def marker_at_mm(number: int) -> Points:
    """Corners (4, 2) of a marker on the card [mm]."""
    x, y = MARKER_AT_MM[number]
    side = MARKER_MM
    return np.array([[x, y], [x + side, y], [x + side, y + side], [x, y + side]])


def _around_card(bgr: Picture, found: dict[int, list[Points]]) -> tuple[Points, Picture]:
    """The part of the picture in which the card lies by the markers found, and where its first pixel lies.

    The whole picture where too few are found to tell, one more than once, or some that are not of one card.
    """
    whole = np.zeros(2), bgr
    if len(found) < refuse.MARKERS_NEEDED or any(len(quads) > 1 for quads in found.values()):
        return whole
    card = np.concatenate([marker_at_mm(number) for number in found])
    seen = np.concatenate([quads[0] for quads in found.values()])
    there, _ = cv2.findHomography(card, seen, 0)
    if there is None or not np.isfinite(there).all():
        return whole
    off = np.hypot(*(cv2.perspectiveTransform(card[None], there)[0] - seen).T).max()
    markers = np.concatenate([marker_at_mm(number) for number in MARKER_AT_MM])
    low, top = markers.min(axis=0) - ROUND_MARKERS_MM, markers.max(axis=0) + ROUND_MARKERS_MM
    box = np.array([low, (top[0], low[1]), top, (low[0], top[1])])
    behind = np.any(np.column_stack([box, np.ones(4)]) @ there[2] <= 0)
    if behind or off > ONE_CARD_SHARE * np.sqrt(min(area_mm2(quads[0]) for quads in found.values())):
        return whole
    return cut_out(bgr, cv2.perspectiveTransform(box[None], there)[0])


def _green(bgr: Picture, often: int) -> Picture:
    """The green of the picture halved so often; of the first halving every second pixel stands for its neighbours."""
    if often < 2:
        return halved(np.asarray(cv2.extractChannel(bgr, 1), np.uint8), often)
    high, wide = (side // 2 * 2 for side in bgr.shape[:2])
    return halved(np.ascontiguousarray(bgr[:high:2, :wide:2, 1]), often - 1)


@cache
def _detector(windows: int) -> cv2.aruco.ArucoDetector:
    """Finds markers with black told from white over this many sizes of neighbourhood, 1 or 3; 1 is quicker."""
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    if windows == 1:
        settings.adaptiveThreshWinSizeMin = settings.adaptiveThreshWinSizeMax
    return cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50), settings)


def _collect(
    found: dict[int, list[Points]],
    corners: Sequence[NDArray[Any]],
    numbers: NDArray[Any] | None,
    *,
    often: int,
    corner: Points,
) -> None:
    """Adds the card's markers seen in a part, from `corner` on, of the picture halved so often, each place once."""
    for quad, number in zip(corners, [] if numbers is None else numbers.ravel(), strict=True):
        points = (np.asarray(quad, dtype=float).reshape(4, 2) + 0.5) * 2**often - 0.5 + corner
        if int(number) in MARKER_AT_MM:
            known = found.setdefault(int(number), [])
            if all(_apart(points, old) > np.sqrt(area_mm2(old)) / 2 for old in known):
                known.append(points)


def _apart(one: Points, other: Points) -> float:
    """Distance of the middles of two quads [px]."""
    return float(np.hypot(*(one.mean(axis=0) - other.mean(axis=0))))


def two_cards(candidates: dict[int, list[Points]]) -> bool:
    """Whether two of the markers or more are seen twice, alike in size; one that is may be a mark in the meat."""
    twice = 0
    for quads in candidates.values():
        sizes = sorted(area_mm2(quad) for quad in quads)
        twice += len(sizes) > 1 and sizes[-2] > SECOND_CARD_SHARE**2 * sizes[-1]
    return twice >= refuse.MARKERS_NEEDED


def _refined(bgr: Picture, points: Points) -> Points:
    """Corners to a fraction of a pixel, in the full picture.

    A corner is looked for within an eighth of the marker's side, short of the next square's edge at a sixth. Seen in
    a picture halved twice it may be 3 px off: with a twelfth, 10 corners of 150 rendered pictures were not reached
    and 9 flat cards seemed bent by more than 0.3 mm; with an eighth all were reached, and 2 did, a finger at their
    corners.
    """
    side = float(np.sqrt(area_mm2(points)))
    reach = int(np.clip(side * REACH_SHARE, 3, 12))
    corner, cut = cut_out(bgr, points, margin=2 * reach + 4)
    grey = cv2.cvtColor(cut, cv2.COLOR_BGR2GRAY)
    start = (points - corner).astype(np.float32).reshape(-1, 1, 2)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 40, 0.01)
    better = cv2.cornerSubPix(grey, start.copy(), (reach, reach), (-1, -1), stop)
    moved = np.asarray(better, dtype=float).reshape(4, 2) + corner
    far = np.hypot(*(moved - points).T) > reach
    moved[far] = points[far]
    return moved
