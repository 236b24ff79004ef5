"""Rib faces beside each other at the same scale: each photograph turned so that its eye lies level, chine left."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from gambrel.shop.records.models import FaceReading
from gambrel.shop.records.selectors.ribface import (
    FaceLine,
    Figures,
    Overlay,
    face_lines,
    figures_of,
    overlay_of,
)

FRAME_MM = (190.0, 130.0)
"""Width and height of each panel: the largest eye with its cover fat."""


@dataclass(frozen=True, slots=True)
class Panel:
    """One face: how its picture is turned and enlarged to millimetres, and where its parts come to lie [mm].

    `matrix` are the six numbers of an SVG transform from pixels of the upright picture.
    """

    line: FaceLine
    reading: FaceReading
    figures: Figures
    overlay: Overlay
    matrix: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class ComparePage:
    """`lines` are all sides whose reading can be shown; `chosen` the ids of those in `panels`."""

    panels: tuple[Panel, ...]
    lines: tuple[FaceLine, ...]
    chosen: frozenset[int]
    frame_mm: tuple[float, float] = FRAME_MM


def compare_page(asked: list[int], *, most_count: int, today: date) -> ComparePage:
    """The faces asked for; without any, the first of those that count."""
    lines = [
        line for line in face_lines(today=today) if line.counts is not None and line.counts.photograph_id
    ]
    lines.sort(key=lambda line: (line.side.animal.tag, line.side.half))
    wanted = [line for line in lines if line.side.pk in asked] or lines
    readings = FaceReading.objects.select_related("photograph").in_bulk(
        [line.counts.pk for line in wanted[:most_count] if line.counts]
    )
    panels = tuple(panel for line in wanted[:most_count] if (panel := _panel(line, readings)) is not None)
    return ComparePage(panels, tuple(lines), frozenset(panel.line.side.pk for panel in panels))


def _panel(line: FaceLine, readings: dict[int, FaceReading]) -> Panel | None:
    """None where the reading has no scale or no outline."""
    reading = readings.get(line.counts.pk) if line.counts else None
    overlay = overlay_of(reading) if reading else None
    if reading is None or overlay is None or not overlay.axis or not reading.answer.get("mm_per_px"):
        return None
    return Panel(
        line, reading, figures_of(reading), overlay, _matrix(overlay, float(reading.answer["mm_per_px"]))
    )


def _matrix(overlay: Overlay, mm_per_px: float) -> tuple[float, ...]:
    """Pixels to millimetres of the panel: the axis level, its chine end left, its middle in the middle."""
    first, last = overlay.axis
    if overlay.chine is not None and overlay.chine == last:
        first, last = last, first
    turn = math.atan2(last[1] - first[1], last[0] - first[0])
    along, across = mm_per_px * math.cos(turn), mm_per_px * math.sin(turn)
    x, y = (first[0] + last[0]) / 2, (first[1] + last[1]) / 2
    # Points turn by -turn: x' = along x + across y, y' = -across x + along y.
    shift_x = FRAME_MM[0] / 2 - (along * x + across * y)
    shift_y = FRAME_MM[1] / 2 - (-across * x + along * y)
    return tuple(round(value, 5) for value in (along, -across, across, along, shift_x, shift_y))
