"""The eye found by a network: once on the whole picture, then close up, where the outline is drawn.

What is drawn close up may lie elsewhere than the first look had it: the tail of a rich eye is easily missed from afar.
It is then looked at again where it was drawn, so that the whole eye is in view.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface import refuse
from gambrel.ribface.network import (
    ALONG,
    CARD,
    EYE,
    FINER_WHOLE_PX,
    HAND,
    OUTWARD,
    WIDE_SPAN,
    Floats,
    View,
    look_at_whole,
    look_closer,
)
from gambrel.ribface.outline import EyeOutline, Hints, to_frame_px
from gambrel.ribface.plane import Picture, Plane
from gambrel.ribface.refuse import Reason, Refusal

LEAST_EYE_SHARE = 0.003
"""Least share of the network's map that counts as an eye."""

SECOND_EYE_SHARE = 0.45
"""A second patch this large against the first is a second face."""

NO_FACE_LIMIT, TWO_FACES_LIMIT = 0.7, 0.8
"""Likelihoods of the network's verdicts from which it is believed."""

SURELY_NO_FACE = 0.9
"""From this likelihood on the first look is the last."""

RIM_PX = 1.5
"""How far outside the outline, in map pixels, what lies over it is looked for."""

LEAST_SURE = 0.55
LEVEL = 0.55
"""Likelihood at which the outline is drawn; set between our held-back renderings and independent ones."""

RIM_LEVELS = (0.2, 0.95)
"""Between these likelihoods it is not known whether a place is eye."""

CORE_LEVEL, EDGE_WIDTH = 0.9, 2.0
"""What is likelier than this is surely eye; from there to the outline it is at most so many map pixels."""

CENTRED_SHARE = 0.08
"""An eye drawn farther from where it was looked for, or larger or smaller by more, in shares of its extent, is looked
at again. Of 240 rendered faces a fifth are; the error of their areas (root mean square) falls from 7.9 to 3.3 cm2."""

MOST_LOOKS = 3
HINTS_AGREE = 0.7
"""Where the mean of the ways to the chine from afar and from close up is shorter than this, and so is that of two looks
from close up if there were two, the eye is looked at once more with what lies round it. Of 237 rendered faces 67 were
by the first rule; the hint alone is then wrong in 7, from close up in 13. Of 686 others 70 were by the first rule, of
them 19 looked at twice from close up: 17 times alike, and then always right."""

OUTLINE_STEPS = 4
"""How many times finer than the network's map the outline is drawn."""

FAR_BELOW_LEVEL, MAP_MARGIN = 0.3, 8
"""Farther than so many map pixels from all that is likelier than this no outline is drawn: a finer map goes up to 1.4
times the pixels about a place, and is softened over three of them."""


def find_eye(bgr: Picture, plane: Plane | None, seed: tuple[float, float] | None) -> EyeOutline | Refusal:
    """The outline of the eye in an upright picture; with `seed` (x, y) the eye that the point lies in.

    Where no eye is found and the network is not sure that there is none, the whole picture is looked at once more,
    finer.
    """
    whole = look_at_whole(bgr)
    answer = _find_from(bgr, whole, seed)
    missed = isinstance(answer, Refusal) and answer.reason is Reason.NOT_A_RIB_FACE
    if missed and whole.verdict_of("no rib face") < SURELY_NO_FACE:
        return _find_from(bgr, look_at_whole(bgr, FINER_WHOLE_PX), seed)
    return answer


def _find_from(bgr: Picture, whole: View, seed: tuple[float, float] | None) -> EyeOutline | Refusal:
    """The eye that a look at the whole picture shows, its outline drawn close up."""
    found = _pick_eye(whole, seed)
    if isinstance(found, Refusal):
        return found
    if seed is None and whole.verdict_of("no rib face") > NO_FACE_LIMIT:
        return Refusal(Reason.NOT_A_RIB_FACE, "the picture does not look like a cut rib face")
    if seed is None and whole.verdict_of("two faces") > TWO_FACES_LIMIT:
        return Refusal(Reason.TWO_FACES, "the picture looks like two faces")
    looks, polygon, sure = _look_until_centred(bgr, whole.px(found), seed)
    close = looks[-1]
    if polygon is None:
        return Refusal(Reason.NOT_A_RIB_FACE, "no eye is left when looked at closely")
    if sure < LEAST_SURE:
        return Refusal(Reason.NOT_A_RIB_FACE, f"the eye is found with {sure:.2f} of certainty")
    if seed is None and close.verdict_of("no rib face") > NO_FACE_LIMIT:
        return Refusal(Reason.NOT_A_RIB_FACE, "looked at closely it is no cut rib face")
    if seed is None and _covered(close, polygon) > refuse.COVERED_LIMIT_SHARE:
        return Refusal(Reason.UNREADABLE, "a hand or the card lies over a part of its edge")
    outline = close.px(polygon)
    cut = max(whole.verdict_of("eye cut off"), close.verdict_of("eye cut off"))
    if cut > 0.5 and to_frame_px(outline, bgr.shape) < refuse.LIKELY_CUT_SHARE * max(bgr.shape[:2]):
        return Refusal(Reason.EYE_CUT_OFF, "its edge runs along the edge of the picture")
    hints = _hints_of_all(bgr, whole, looks, outline)
    return EyeOutline(outline, sure, "network", hints, _doubt(close))


def _look_until_centred(
    bgr: Picture, eye_px: NDArray[np.float64], seed: tuple[float, float] | None
) -> tuple[list[View], NDArray[np.float64] | None, float]:
    """Up to three close looks, the outline drawn on the last of them in map points, and how sure it is."""
    looks: list[View] = []
    for _ in range(MOST_LOOKS):
        close = look_closer(bgr, eye_px)
        looks.append(close)
        polygon, sure = _draw_outline(close, None if seed is None else close.to_map(seed))
        if polygon is None:
            break
        drawn = close.px(polygon)
        if _moved_share(eye_px, drawn) <= CENTRED_SHARE:
            break
        eye_px = drawn
    return looks, polygon, sure


def _moved_share(before: NDArray[np.float64], after: NDArray[np.float64]) -> float:
    """How far the box of the points (n, 2) moved, or by how much its longer side changed, over its longer side."""
    (low, top), (new_low, new_top) = ((points.min(axis=0), points.max(axis=0)) for points in (before, after))
    extent = float(np.max(new_top - new_low))
    moved = float(np.max(np.abs(new_low + new_top - low - top))) / 2
    return max(moved / extent, abs(extent / float(np.max(top - low)) - 1))


def _pick_eye(view: View, seed: tuple[float, float] | None) -> NDArray[np.float64] | Refusal:
    """Map points of the eye's patch, or why there is not one."""
    eye = view.maps[EYE]
    count, patches, _stats, _ = cv2.connectedComponentsWithStats((eye > 0.5).astype(np.uint8), connectivity=8)
    mass = np.array([float(eye[patches == number].sum()) for number in range(1, count)])
    if not mass.size or mass.max() < LEAST_EYE_SHARE * eye.size:
        return Refusal(Reason.NOT_A_RIB_FACE, "no eye is found")
    order = np.argsort(-mass)
    chosen = int(order[0]) + 1
    if seed is not None:
        x, y = (round(v) for v in view.to_map(seed))
        high, wide = eye.shape
        at = int(patches[y, x]) if 0 <= x < wide and 0 <= y < high else 0
        if at == 0:
            return Refusal(Reason.NOT_A_RIB_FACE, "the point given does not lie in an eye")
        chosen = at
    elif mass.size > 1 and mass[order[1]] > SECOND_EYE_SHARE * mass[order[0]]:
        return Refusal(Reason.TWO_FACES, "two eyes are found")
    ys, xs = np.nonzero(patches == chosen)
    return np.stack([xs, ys], axis=1).astype(float)


def _draw_outline(view: View, inside: tuple[float, float] | None) -> tuple[NDArray[np.float64] | None, float]:
    """The line of equal likelihood around the eye (n, 2), in map points but finer, and how sure it is."""
    corner, eye = _around_eye(view.maps[EYE])
    high, wide = eye.shape
    finer = cv2.resize(eye, (wide * OUTLINE_STEPS, high * OUTLINE_STEPS), interpolation=cv2.INTER_CUBIC)
    fine: Floats = np.asarray(cv2.GaussianBlur(finer, (0, 0), OUTLINE_STEPS * 0.6), np.float32)
    contours, _ = cv2.findContours(_surely_joined(fine), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None, 0.0
    best = max(contours, key=cv2.contourArea)
    if inside is not None:
        at = tuple((v + 0.5) * OUTLINE_STEPS - 0.5 for v in np.asarray(inside) - corner)
        holding = [c for c in contours if cv2.pointPolygonTest(c, at, False) >= 0]
        best = holding[0] if holding else best
    outline = _to_level(best[:, 0].astype(float), fine)
    mask = np.zeros((high, wide), np.uint8)
    cv2.fillPoly(mask, [np.round(best / OUTLINE_STEPS).astype(np.int32)], 1)
    sure = float(eye[mask > 0].mean()) if mask.any() else 0.0
    return (outline + 0.5) / OUTLINE_STEPS - 0.5 + corner, sure


def _around_eye(eye: Floats) -> tuple[NDArray[np.float64], Floats]:
    """The part of the map (H, W) outside which no outline can lie, and where its first pixel lies on the map."""
    likely = (eye > FAR_BELOW_LEVEL).astype(np.uint8)
    left, top, wide, high = cv2.boundingRect(likely)
    x, y = (max(0, edge - MAP_MARGIN) // 2 * 2 for edge in (left, top))  # even, so that halves round alike
    part = eye[y : top + high + MAP_MARGIN, x : left + wide + MAP_MARGIN]
    return np.array([x, y], dtype=float), part


def _surely_joined(fine: Floats) -> NDArray[np.uint8]:
    """What is likelier than `LEVEL` and lies close to what is nearly certain: an edge is narrow, a doubt is wide."""
    likely = fine > LEVEL
    core = (fine > CORE_LEVEL).astype(np.uint8)
    if not core.any():
        return likely.astype(np.uint8)
    away = cv2.distanceTransform(1 - core, cv2.DIST_L2, 3)
    return (likely & (away < EDGE_WIDTH * OUTLINE_STEPS)).astype(np.uint8)


def _to_level(points: NDArray[np.float64], fine: Floats) -> NDArray[np.float64]:
    """Contour pixels moved to where the map is `LEVEL`, along its slope; then smoothed over a few points."""
    dx, dy = cv2.Sobel(fine, cv2.CV_32F, 1, 0, scale=1 / 8), cv2.Sobel(fine, cv2.CV_32F, 0, 1, scale=1 / 8)
    xs, ys = points[:, 0].astype(int), points[:, 1].astype(int)
    slope = np.stack([dx[ys, xs], dy[ys, xs]], axis=1)
    steep = np.maximum((slope**2).sum(axis=1), 1e-4)
    move = ((LEVEL - fine[ys, xs]) / steep)[:, None] * slope
    moved = points + np.clip(move, -2.0, 2.0)
    ring = np.concatenate([moved[-6:], moved, moved[:6]])
    window = np.ones(9) / 9
    smooth = np.stack([np.convolve(ring[:, axis], window, "same") for axis in (0, 1)], axis=1)
    return smooth[6:-6]


def _covered(view: View, polygon: NDArray[np.float64]) -> float:
    """Share of the outline (n, 2) in map points that borders on a hand or the card."""
    middle = polygon.mean(axis=0)
    away = polygon - middle
    outside = polygon + away / np.maximum(np.hypot(*away.T), 1e-6)[:, None] * RIM_PX
    x, y = (outside[:, k].astype(np.float32).reshape(1, -1) for k in (0, 1))
    card, hand = (cv2.remap(view.maps[k], x, y, cv2.INTER_LINEAR) for k in (CARD, HAND))
    return float(np.mean(card + hand > 0.5))


def _doubt(view: View) -> float:
    """How wide the rim is, in map pixels, in which the map does not know eye from what is beside it."""
    eye = view.maps[EYE]
    rim = np.count_nonzero(eye > RIM_LEVELS[0]) - np.count_nonzero(eye > RIM_LEVELS[1])
    return float(rim) / math.sqrt(max(1, int(np.count_nonzero(eye > LEVEL))))


def hints_within(bgr: Picture, outline_px: NDArray[np.float64]) -> Hints:
    """What the network says of chine and outside inside an outline (n, 2) [px] drawn by someone else."""
    return _hints_of_all(bgr, look_at_whole(bgr), [look_closer(bgr, outline_px)], outline_px)


def _hints_of_all(bgr: Picture, whole: View, looks: list[View], outline_px: NDArray[np.float64]) -> Hints:
    """The hints of the last look from close up; where neither the look from afar nor the close one before it bears
    out the chine, that of a wider look.
    """
    hints = _hints(looks[-1], looks[-1].to_maps(outline_px))
    for other in (whole, *looks[-2:-1]):
        way = _hints(other, other.to_maps(outline_px)).to_chine_px
        if float(np.linalg.norm(hints.to_chine_px + way)) / 2 >= HINTS_AGREE:
            return hints
    wide = look_closer(bgr, outline_px, WIDE_SPAN)
    return replace(hints, to_chine_px=_hints(wide, wide.to_maps(outline_px)).to_chine_px)


def _hints(view: View, polygon: NDArray[np.float64]) -> Hints:
    """Which way the chine and the outside lie by the network's own maps, over the pixels of the eye."""
    inside = np.zeros(view.maps.shape[1:], np.uint8)
    cv2.fillPoly(inside, [np.round(polygon).astype(np.int32)], 1)
    at = np.flatnonzero(inside.view(np.bool_))
    if at.size < LEAST_EYE_SHARE * inside.size:
        return Hints(np.zeros(2), np.zeros(2), view)
    wide = view.maps.shape[2]
    places = np.stack([at % wide, at // wide]).astype(float)
    places -= places.mean(axis=1, keepdims=True)
    along = view.maps[ALONG].take(at).astype(float)
    along -= along.mean()
    slope = places @ along
    fitted = slope @ places
    both = float(np.sqrt((fitted @ fitted) * (along @ along)))
    tight = float(fitted @ along) / both if both > 0 else 0.0
    to_chine = (
        -slope
        / max(float(np.hypot(*slope)), 1e-12)
        * max(0.0, tight)
        * min(1.0, 2 * float(np.sqrt(along @ along / at.size)) / 0.5)
    )
    outward = [float(each.take(at).mean(dtype=np.float64)) for each in view.maps[OUTWARD]]
    return Hints(to_chine, np.array(outward), view)
