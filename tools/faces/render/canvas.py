"""The picture while it is being made: light, classes and gloss, and how shapes are laid on it."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np

from .arrays import Bytes, Colour, Gray, Points, Window
from .camera import Camera, coverage, window_of


@dataclass
class Canvas:
    """What has been painted so far; all arrays are (height, width, ...)."""

    light: Colour  # (h, w, 3) linear surface colour
    labels: Bytes
    gloss: Gray  # mirrored light as a share of white, 0 to 12
    camera: Camera

    @property
    def shape(self) -> tuple[int, int]:
        return self.labels.shape[0], self.labels.shape[1]

    def cover(self, outline_mm: Points) -> tuple[Window, Gray] | None:
        """The window and pixel coverage of a shape of the face plane, or None outside the picture."""
        return self.cover_px(self.camera.to_px(outline_mm))

    def cover_px(self, outline_px: Points) -> tuple[Window, Gray] | None:
        window = window_of(outline_px, self.shape[1], self.shape[0])
        return None if window is None else (window, coverage(outline_px, window))

    def lay(
        self, window: Window, alpha: Gray, colour: Colour, label: int | None, *, soft_px: float = 0.0
    ) -> None:
        """Blend a colour (3,) or (h, w, 3) into the window; the class changes where at least half is covered."""
        x0, y0, x1, y1 = window
        if label is not None:
            self.labels[y0:y1, x0:x1][alpha >= 0.5] = label
        if soft_px > 0.4:
            alpha = np.asarray(cv2.GaussianBlur(alpha, (0, 0), soft_px), np.float32)
        part = self.light[y0:y1, x0:x1]
        for k in range(3):
            part[..., k] += alpha * (colour[..., k] - part[..., k])


def cut(field: Gray, outer: Window, inner: Window) -> Gray:
    """The part of a field over `outer` that lies over `inner`."""
    return field[inner[1] - outer[1] : inner[3] - outer[1], inner[0] - outer[0] : inner[2] - outer[0]]


def between_ends(ends: tuple[Colour, Colour], mix: Gray) -> Colour:
    """Colours (h, w, 3) between two ends; 0 gives the first, 1 the second, and beyond them a little."""
    out = np.empty((*mix.shape, 3), np.float32)
    for k in range(3):
        np.multiply(mix, ends[1][k] - ends[0][k], out=out[..., k])
        out[..., k] += ends[0][k]
    return np.maximum(out, 0.0005, out=out)
