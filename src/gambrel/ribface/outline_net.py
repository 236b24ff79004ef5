"""The eye found by a network: once on the whole picture, once more close up, where the outline is drawn.

The network (`data/eye.onnx`, see docs/model-card.md) gives for every second pixel of what it sees how likely it is
eye, muscle, fat, bone and so on, and for the pixels of the eye where they lie between chine and tail and which way
is out. It sees at a fixed size, so that the picture's scale does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.outline import EyeOutline
from gambrel.ribface.plane import Picture, Plane
from gambrel.ribface.refuse import Reason, Refusal

Floats = NDArray[np.float32]

CLASSES = ("background", "eye", "muscle", "fat", "bone", "card", "hand")
VERDICTS = ("readable", "no rib face", "two faces", "eye cut off")
EYE = CLASSES.index("eye")
WHOLE_PX = 320
CLOSE_PX = 320
CLOSE_SPAN = 1.45
"""Side of the close-up over the eye's longest extent."""

LEAST_EYE_PX = 60
"""Fewest pixels of the network's map that count as an eye."""

SECOND_EYE_SHARE = 0.45
"""A second patch this large against the first is a second face."""

LEAST_SURE = 0.55
LEVEL = 0.56
"""Likelihood at which the outline is drawn; set between our held-back renderings and independent ones."""

CORE_LEVEL, EDGE_WIDTH = 0.9, 2.0
"""What is likelier than this is surely eye; from there to the outline it is at most so many map pixels."""

OUTLINE_STEPS = 4
"""How many times finer than the network's map the outline is drawn."""


@dataclass(frozen=True)
class _View:
    """A square or oblong of the picture as the network sees it; `to_px` (2, 3) takes its pixels to the picture's."""

    maps: Floats  # (channels, h, w), classes as probabilities
    verdict: Floats
    to_px: NDArray[np.float64]

    def px(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map points (n, 2) to picture px; a map pixel stands for two of the view's."""
        seen = points * 2.0 + 0.5
        return np.asarray(seen @ self.to_px[:, :2].T + self.to_px[:, 2])


@cache
def _session() -> Any:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.log_severity_level = 3
    weights = resources.files("gambrel.ribface").joinpath("data/eye.onnx").read_bytes()
    return onnxruntime.InferenceSession(weights, options, providers=["CPUExecutionProvider"])


def find_eye(bgr: Picture, plane: Plane | None, seed: tuple[float, float] | None) -> EyeOutline | Refusal:
    """The outline of the eye in an upright picture; with `seed` (x, y) the eye that the point lies in."""
    whole = _look_at_whole(bgr)
    found = _pick_eye(whole, seed)
    if isinstance(found, Refusal):
        return found
    if seed is None and whole.verdict[VERDICTS.index("no rib face")] > 0.9:
        return Refusal(Reason.NOT_A_RIB_FACE, "the picture does not look like a cut rib face")
    close = _look_closer(bgr, whole.px(found))
    inside = None if seed is None else _to_map(close, seed)
    polygon, sure = _draw_outline(close, inside)
    if polygon is None:
        return Refusal(Reason.NOT_A_RIB_FACE, "no eye is left when looked at closely")
    if sure < LEAST_SURE:
        return Refusal(Reason.NOT_A_RIB_FACE, f"the eye is found with {sure:.2f} of certainty")
    return EyeOutline(close.px(polygon), sure, "network")


def _look_at_whole(bgr: Picture) -> _View:
    high, wide = bgr.shape[:2]
    shrink = max(high, wide) / WHOLE_PX
    size = (_whole_32(wide / shrink), _whole_32(high / shrink))
    step = (wide / size[0], high / size[1])
    rough = bgr if shrink < 4 else bgr[:: int(shrink // 3), :: int(shrink // 3)]
    seen = cv2.resize(rough, size, interpolation=cv2.INTER_AREA)
    to_px = np.array([[step[0], 0.0, step[0] / 2 - 0.5], [0.0, step[1], step[1] / 2 - 0.5]])
    return _run(seen, to_px)


def _whole_32(size: float) -> int:
    return max(64, round(size / 32) * 32)


def _look_closer(bgr: Picture, eye_px: NDArray[np.float64]) -> _View:
    """A square about the eye, turned as the eye lies so that it fills the view alike however it was held."""
    low, top = eye_px.min(axis=0), eye_px.max(axis=0)
    middle = (low + top) / 2
    span = CLOSE_SPAN * float(np.max(top - low))
    step = span / CLOSE_PX
    corner = middle - span / 2 + step / 2
    to_px = np.array([[step, 0.0, corner[0]], [0.0, step, corner[1]]])
    if step > 2.0:  # shrink first, so that nothing between the sampled pixels is lost
        part = int(step)
        high, wide = (side // part * part for side in bgr.shape[:2])
        x0, y0 = (max(0, int(v)) // part * part for v in corner - span * 0.05)
        x1, y1 = min(wide, int(corner[0] + span * 1.05)), min(high, int(corner[1] + span * 1.05))
        cut = bgr[y0 : y0 + (y1 - y0) // part * part, x0 : x0 + (x1 - x0) // part * part]
        small = cv2.resize(cut, (cut.shape[1] // part, cut.shape[0] // part), interpolation=cv2.INTER_AREA)
        shift = (part - 1) / 2
        local = np.array([[step / part, 0.0, (corner[0] - x0 - shift) / part],
                          [0.0, step / part, (corner[1] - y0 - shift) / part]])  # fmt: skip
    else:
        small, local = bgr, to_px
    seen = cv2.warpAffine(small, local, (CLOSE_PX, CLOSE_PX), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                          borderMode=cv2.BORDER_REPLICATE)  # fmt: skip
    return _run(seen, to_px)


def _run(seen: NDArray[np.uint8], to_px: NDArray[np.float64]) -> _View:
    picture = np.ascontiguousarray(seen[None, :, :, ::-1].transpose(0, 3, 1, 2), dtype=np.float32) / 255.0
    maps, verdict = _session().run(None, {"picture": picture})
    maps = maps[0]
    maps[: len(CLASSES)] = _softmax(maps[: len(CLASSES)])
    return _View(maps, _softmax(verdict[0]), to_px)


def _softmax(logits: Floats) -> Floats:
    odds = np.exp(logits - logits.max(axis=0))
    return np.asarray(odds / odds.sum(axis=0))


def _pick_eye(view: _View, seed: tuple[float, float] | None) -> NDArray[np.float64] | Refusal:
    """Map points of the eye's patch, or why there is not one."""
    eye = view.maps[EYE]
    count, patches, stats, _ = cv2.connectedComponentsWithStats((eye > 0.5).astype(np.uint8), connectivity=8)
    mass = np.array([float(eye[patches == number].sum()) for number in range(1, count)])
    if not mass.size or mass.max() < LEAST_EYE_PX:
        return Refusal(Reason.NOT_A_RIB_FACE, "no eye is found")
    order = np.argsort(-mass)
    chosen = int(order[0]) + 1
    if seed is not None:
        x, y = (int(round(v)) for v in _to_map(view, seed))
        high, wide = eye.shape
        at = int(patches[y, x]) if 0 <= x < wide and 0 <= y < high else 0
        if at == 0:
            return Refusal(Reason.NOT_A_RIB_FACE, "the point given does not lie in an eye")
        chosen = at
    elif mass.size > 1 and mass[order[1]] > SECOND_EYE_SHARE * mass[order[0]]:
        return Refusal(Reason.TWO_FACES, "two eyes are found")
    ys, xs = np.nonzero(patches == chosen)
    return np.stack([xs, ys], axis=1).astype(float)


def _to_map(view: _View, point_px: tuple[float, float]) -> tuple[float, float]:
    seen = np.linalg.solve(view.to_px[:, :2], np.asarray(point_px) - view.to_px[:, 2])
    x, y = (seen - 0.5) / 2.0
    return float(x), float(y)


def _draw_outline(
    view: _View, inside: tuple[float, float] | None
) -> tuple[NDArray[np.float64] | None, float]:
    """The line of equal likelihood around the eye (n, 2) in map points, drawn finer than the map, and how sure it is."""
    eye = view.maps[EYE]
    high, wide = eye.shape
    fine = cv2.resize(eye, (wide * OUTLINE_STEPS, high * OUTLINE_STEPS), interpolation=cv2.INTER_CUBIC)
    fine = cv2.GaussianBlur(fine, (0, 0), OUTLINE_STEPS * 0.6)
    contours, _ = cv2.findContours(_surely_joined(fine), cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return None, 0.0
    best = max(contours, key=cv2.contourArea)
    if inside is not None:
        at = tuple((v + 0.5) * OUTLINE_STEPS - 0.5 for v in inside)
        holding = [c for c in contours if cv2.pointPolygonTest(c, at, False) >= 0]
        best = holding[0] if holding else best
    outline = _to_level(best[:, 0].astype(float), fine)
    mask = np.zeros((high, wide), np.uint8)
    cv2.fillPoly(mask, [np.round(best / OUTLINE_STEPS).astype(np.int32)], 1)
    sure = float(eye[mask > 0].mean()) if mask.any() else 0.0
    return (outline + 0.5) / OUTLINE_STEPS - 0.5, sure


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
