"""The network (`data/eye.onnx`, see docs/model-card.md) and what it sees: the whole picture, and close up.

It gives for every second pixel of what it sees how likely it is eye, muscle, fat, bone and so on, and for the pixels
of the eye where they lie between chine and far end and which way is out. It sees at a fixed size, so that the
picture's scale does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.plane import Picture

Floats = NDArray[np.float32]

CLASSES = ("background", "eye", "muscle", "fat", "bone", "card", "hand")
VERDICTS = ("readable", "no rib face", "two faces", "eye cut off")
BACKGROUND, EYE, CARD, HAND = (CLASSES.index(name) for name in ("background", "eye", "card", "hand"))
ALONG = len(CLASSES)
OUTWARD = slice(ALONG + 1, ALONG + 3)
WHOLE_PX = 320
CLOSE_PX = 320
CLOSE_SPAN = 1.45
"""Side of the close-up over the eye's longest extent."""


@dataclass(frozen=True)
class View:
    """A square or oblong of the picture as the network sees it; `to_px` (2, 3) takes its pixels to the picture's."""

    maps: Floats  # (channels, h, w), classes as probabilities
    verdict: Floats
    to_px: NDArray[np.float64]

    def px(self, points: NDArray[np.float64]) -> NDArray[np.float64]:
        """Map points (n, 2) to picture px; a map pixel stands for two of the view's."""
        seen = points * 2.0 + 0.5
        return np.asarray(seen @ self.to_px[:, :2].T + self.to_px[:, 2])

    def to_maps(self, points_px: NDArray[np.float64]) -> NDArray[np.float64]:
        """Points of the picture (n, 2) on the map."""
        seen = np.linalg.solve(self.to_px[:, :2], (points_px - self.to_px[:, 2]).T).T
        return np.asarray((seen - 0.5) / 2.0)

    def to_map(self, point_px: tuple[float, float]) -> tuple[float, float]:
        x, y = self.to_maps(np.array([point_px], dtype=float))[0]
        return float(x), float(y)

    def verdict_of(self, name: str) -> float:
        """How likely the picture is what `name` says, 0 to 1."""
        return float(self.verdict[VERDICTS.index(name)])


@cache
def _session() -> Any:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.log_severity_level = 3
    weights = resources.files("gambrel.ribface").joinpath("data/eye.onnx").read_bytes()
    return onnxruntime.InferenceSession(weights, options, providers=["CPUExecutionProvider"])


def look_at_whole(bgr: Picture) -> View:
    high, wide = bgr.shape[:2]
    shrink = max(high, wide) / WHOLE_PX
    size = (_whole_32(wide / shrink), _whole_32(high / shrink))
    step = (wide / size[0], high / size[1])
    # Large pictures can spare more pixels before the averaging.
    skip = int(shrink // 2) if shrink >= 8 else int(max(1, shrink // 3))
    rough = bgr[::skip, ::skip]
    seen = cv2.resize(rough, size, interpolation=cv2.INTER_AREA)
    to_px = np.array([[step[0], 0.0, step[0] / 2 - 0.5], [0.0, step[1], step[1] / 2 - 0.5]])
    return _run(np.asarray(seen, dtype=np.uint8), to_px)


def _whole_32(size: float) -> int:
    return max(64, round(size / 32) * 32)


def look_closer(bgr: Picture, eye_px: NDArray[np.float64]) -> View:
    """A square about the eye, which fills the view alike however far away it was."""
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
    return _run(np.asarray(seen, dtype=np.uint8), to_px)


def _run(seen: NDArray[np.uint8], to_px: NDArray[np.float64]) -> View:
    picture = np.ascontiguousarray(seen[None, :, :, ::-1].transpose(0, 3, 1, 2), dtype=np.float32) / 255.0
    maps, verdict = _session().run(None, {"picture": picture})
    maps = maps[0]
    maps[: len(CLASSES)] = _softmax(maps[: len(CLASSES)])
    return View(maps, _softmax(verdict[0]), to_px)


def _softmax(logits: Floats) -> Floats:
    odds = np.exp(logits - logits.max(axis=0))
    return np.asarray(odds / odds.sum(axis=0))
