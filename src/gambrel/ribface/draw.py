"""The reading drawn over the photograph: what was measured, and where."""

from __future__ import annotations

import cv2
import numpy as np

from gambrel.ribface.geometry import Points
from gambrel.ribface.plane import Picture
from gambrel.ribface.reading import Reading

OUTLINE = (255, 220, 0)
AXIS = (255, 255, 255)
FAT = (0, 255, 120)
CARD = (0, 200, 255)
INK, PAPER = (255, 255, 255), (20, 20, 20)


def draw_reading(bgr: Picture, reading: Reading) -> Picture:
    """A copy of the upright picture (H, W, 3) with outline, length, fat line, card and figures."""
    drawn = bgr.copy()
    thick = max(1, round(max(bgr.shape[:2]) / 700))
    if reading.card_corners_px is not None:
        _line(drawn, reading.card_corners_px, CARD, thick, closed=True)
    _line(drawn, reading.axis_px, AXIS, thick)
    _line(drawn, reading.outline_px, OUTLINE, thick + 1, closed=True)
    if reading.fat_line_px is not None:
        _line(drawn, reading.fat_line_px, FAT, thick + 1)
        for end in reading.fat_line_px:
            cv2.circle(drawn, _whole(end), 3 * thick, FAT, thick, cv2.LINE_AA)
    _figures(drawn, figures(reading))
    return drawn


def figures(reading: Reading) -> list[str]:
    """The lines of text on the picture, units with every number."""
    lines = []
    if reading.ribeye_cm2 is not None and reading.ribeye_cm2_interval is not None:
        low, high = reading.ribeye_cm2_interval
        lines.append(
            f"ribeye {reading.ribeye_cm2:.1f} cm2 ({reading.ribeye_cm2 / 6.4516:.1f} in2), {low:.0f} to {high:.0f}"
        )
    if reading.length_cm is not None and reading.width_cm is not None:
        lines.append(f"length {reading.length_cm:.1f} cm, width {reading.width_cm:.1f} cm")
    if reading.fat_mm is not None and reading.fat_mm_interval is not None:
        low, high = reading.fat_mm_interval
        lines.append(f"fat {reading.fat_mm:.1f} mm ({reading.fat_mm / 25.4:.2f} in), {low:.1f} to {high:.1f}")
    low, high = reading.marbling_pct_interval
    lines.append(f"marbling {reading.marbling_pct:.1f} % of the eye, {low:.1f} to {high:.1f}")
    lines.append("the shop's own estimate, not an official grade")
    return lines


def _figures(drawn: Picture, lines: list[str]) -> None:
    size = max(drawn.shape[:2]) / 1600
    thick = max(1, round(2 * size))
    step = round(34 * size)
    wide = max(cv2.getTextSize(line, cv2.FONT_HERSHEY_SIMPLEX, size, thick)[0][0] for line in lines)
    cv2.rectangle(drawn, (0, 0), (wide + step, step * len(lines) + step // 2), PAPER, cv2.FILLED)
    for row, line in enumerate(lines, start=1):
        at = (step // 2, step * row)
        cv2.putText(drawn, line, at, cv2.FONT_HERSHEY_SIMPLEX, size, INK, thick, cv2.LINE_AA)


def _line(
    drawn: Picture, points: Points, colour: tuple[int, int, int], thick: int, closed: bool = False
) -> None:
    corners = [np.round(points * 16).astype(np.int32).reshape(-1, 1, 2)]
    cv2.polylines(drawn, corners, closed, colour, thick, cv2.LINE_AA, 4)


def _whole(point: Points) -> tuple[int, int]:
    return round(float(point[0])), round(float(point[1]))
