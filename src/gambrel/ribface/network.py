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
from gambrel.ribface.shrink import halved, halvings, to_full

Floats = NDArray[np.float32]

CLASSES = ("background", "eye", "muscle", "fat", "bone", "card", "hand")
VERDICTS = ("readable", "no rib face", "two faces", "eye cut off")
BACKGROUND, EYE, CARD, HAND = (CLASSES.index(name) for name in ("background", "eye", "card", "hand"))
ALONG = len(CLASSES)
OUTWARD = slice(ALONG + 1, ALONG + 3)
WHOLE_PX = 224
"""Longer side of the whole picture as the network sees it first."""

FINER_WHOLE_PX = 320
"""And as it sees it again where it found no eye: a small one is easily missed."""

CLOSE_PX = 288
CLOSE_SPAN = 1.34
"""Side of the close-up over the eye's longest extent."""

WIDE_SPAN = 1.7
"""And of one that shows what lies round the eye as well: chine bone, tail and cap."""


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


def look_at_whole(bgr: Picture, side_px: int = WHOLE_PX) -> View:
    """The whole picture, its longer side about `side_px` long."""
    high, wide = bgr.shape[:2]
    shrink = max(high, wide) / side_px
    size = (_whole_32(wide / shrink), _whole_32(high / shrink))
    step = (wide / size[0], high / size[1])
    if shrink < 4:
        seen = cv2.resize(bgr, size, interpolation=cv2.INTER_AREA)
    else:  # of a large picture sixteen pixels, evenly spread, stand for all that make one
        picked = cv2.resize(bgr, (4 * size[0], 4 * size[1]), interpolation=cv2.INTER_NEAREST)
        seen = halved(np.asarray(picked, np.uint8), 2)
    to_px = np.array([[step[0], 0.0, step[0] / 2 - 0.5], [0.0, step[1], step[1] / 2 - 0.5]])
    return _run(np.asarray(seen, dtype=np.uint8), to_px)


def _whole_32(size: float) -> int:
    return max(64, round(size / 32) * 32)


def look_closer(bgr: Picture, eye_px: NDArray[np.float64], span_share: float = CLOSE_SPAN) -> View:
    """A square about the eye, which fills the view alike however far away it was."""
    low, top = eye_px.min(axis=0), eye_px.max(axis=0)
    middle = (low + top) / 2
    span = span_share * float(np.max(top - low))
    step = span / CLOSE_PX
    corner = middle - span / 2 + step / 2
    to_px = np.array([[step, 0.0, corner[0]], [0.0, step, corner[1]]])
    # Halved first, so that little between the sampled pixels is lost.
    often = halvings(step)
    x0, y0 = (max(0, int(v - span * 0.05)) for v in corner)
    x1, y1 = (int(v + span * 1.05) for v in corner)
    small = halved(bgr[y0:y1, x0:x1], often)
    place = np.linalg.inv(to_full(often)) @ np.array([[1, 0, -x0], [0, 1, -y0], [0, 0, 1.0]])
    local = (place @ np.vstack([to_px, [0, 0, 1]]))[:2]
    seen = cv2.warpAffine(small, local, (CLOSE_PX, CLOSE_PX), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP,
                          borderMode=cv2.BORDER_REPLICATE)  # fmt: skip
    return _run(np.asarray(seen, dtype=np.uint8), to_px)


def _run(seen: NDArray[np.uint8], to_px: NDArray[np.float64]) -> View:
    picture = cv2.dnn.blobFromImage(seen, 1 / 255, swapRB=True)
    maps, verdict = _session().run(None, {"picture": picture})
    maps = maps[0]
    maps[: len(CLASSES)] = _softmax(maps[: len(CLASSES)])
    return View(maps, _softmax(verdict[0]), to_px)


def _softmax(logits: Floats) -> Floats:
    odds = np.exp(logits - logits.max(axis=0))
    return np.asarray(odds / odds.sum(axis=0))
