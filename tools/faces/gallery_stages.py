"""The pictures of one reading, stage by stage, made from what the reader itself found."""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from gambrel.ribface.draw import AXIS, CARD, FAT, OUTLINE
from gambrel.ribface.geometry import longest_chord
from gambrel.ribface.light import lab_to_linear, light_from_card
from gambrel.ribface.marbling import measure_marbling
from gambrel.ribface.network import CLASSES, look_closer
from gambrel.ribface.outline import filled
from gambrel.ribface.plane import CARD_MM, Card, Plane, find_card
from gambrel.ribface.reading import Reading
from gambrel.ribface.refuse import Refusal

Picture = NDArray[np.uint8]
Points = NDArray[np.float64]

WIDE_PX = 900
PX_PER_MM = 4.0
AROUND_MM = 45.0
CLASS_BGR = {
    "background": (70, 70, 70), "eye": (40, 40, 200), "muscle": (90, 60, 120), "fat": (150, 220, 245),
    "bone": (230, 230, 230), "card": (220, 160, 40), "hand": (70, 170, 90),
}  # fmt: skip
"""Colours of the class map, B, G, R; said in words on the page."""


def stages(bgr: Picture, reading: Reading) -> Iterator[tuple[str, Picture]]:
    """Name and picture of every stage between the photograph and the finished picture."""
    card = find_card(bgr)
    if isinstance(card, Refusal):
        raise ValueError(card.sentence())
    light = light_from_card(bgr, card)
    if isinstance(light, Refusal):
        raise ValueError(light.sentence())
    yield "photograph", bgr
    yield "card", with_plane(bgr, card, reading)
    outline = card.plane.to_mm(reading.outline_px)
    corner, square = square_on(bgr, card.plane, outline)
    yield "square-on", square
    linear = light.linear(square)
    lit = to_srgb(linear)
    yield "light", lit
    yield "network", class_map(bgr, reading)
    yield "outline", with_shape(lit, card.plane, reading, corner)
    yield "fat-line", with_fat_line(lit, card.plane, reading, corner)
    yield "marbling", fat_share(lit, linear, outline, corner, reading)


def square_on(bgr: Picture, plane: Plane, outline_mm: Points) -> tuple[Points, Picture]:
    """Corner of the window [mm] and the window about the eye, seen square on."""
    low, top = outline_mm.min(axis=0) - AROUND_MM, outline_mm.max(axis=0) + AROUND_MM
    window = (float(low[0]), float(low[1]), float(top[0]), float(top[1]))
    return low, plane.rectify(bgr, px_per_mm=PX_PER_MM, window_mm=window)[0]


def to_srgb(linear: NDArray[np.float32]) -> Picture:
    """Linear light, white 1, as a picture. [IEC 61966-2-1:1999]"""
    light = np.clip(linear, 0, 1)
    curved = np.where(light <= 0.0031308, 12.92 * light, 1.055 * np.power(light, 1 / 2.4) - 0.055)
    return np.round(255 * curved).astype(np.uint8)


def with_plane(bgr: Picture, card: Card, reading: Reading) -> Picture:
    """The card's edge, the markers seen, and the card's plane as a net of centimetres carried over the eye."""
    drawn = bgr.copy()
    thick = max(1, bgr.shape[1] // 700)
    everything = np.vstack([card.plane.to_mm(reading.outline_px), [[0, 0], CARD_MM]])
    low, top = np.floor(everything.min(axis=0) / 10) * 10, np.ceil(everything.max(axis=0) / 10) * 10
    for x in np.arange(low[0], top[0] + 1, 10):
        line(drawn, card.plane.to_px(np.array([[x, low[1]], [x, top[1]]])), (255, 255, 255), thick)
    for y in np.arange(low[1], top[1] + 1, 10):
        line(drawn, card.plane.to_px(np.array([[low[0], y], [top[0], y]])), (255, 255, 255), thick)
    drawn = cv2.addWeighted(drawn, 0.6, bgr, 0.4, 0).astype(np.uint8)
    line(drawn, card.corners_px, CARD, 3 * thick, closed=True)
    for corners in card.marker_corners_px.reshape(-1, 4, 2):
        line(drawn, corners, (0, 0, 255), 2 * thick, closed=True)
    return drawn


def class_map(bgr: Picture, reading: Reading) -> Picture:
    """Left the close-up that the network is given, right what it takes each place for."""
    view = look_closer(bgr, reading.outline_px)
    kinds = np.argmax(view.maps[: len(CLASSES)], axis=0)
    painted = np.array([CLASS_BGR[name] for name in CLASSES], np.uint8)[kinds]
    side = WIDE_PX // 2
    ends = view.px(np.array([[0.0, 0.0], [kinds.shape[1] - 1.0, kinds.shape[0] - 1.0]]))
    scale = (side - 1) / (ends[1] - ends[0])
    place = np.array([[scale[0], 0, -ends[0][0] * scale[0]], [0, scale[1], -ends[0][1] * scale[1]]])
    seen = cv2.warpAffine(bgr, place, (side, side), flags=cv2.INTER_AREA, borderMode=cv2.BORDER_REPLICATE)
    map_ = cv2.resize(painted, (side, side), interpolation=cv2.INTER_NEAREST)
    return np.hstack([seen, map_]).astype(np.uint8)


def with_shape(lit: Picture, plane: Plane, reading: Reading, corner: Points) -> Picture:
    """Outline, longest line across it, and the width square to that."""
    drawn = lit.copy()
    outline = plane.to_mm(reading.outline_px)
    axis = longest_chord(outline)
    beside = (outline - axis.start) @ axis.across
    along = (outline - axis.start) @ axis.along
    at = float(along[np.argmax(beside)] + along[np.argmin(beside)]) / 2
    width = np.array([axis.start + axis.along * at + axis.across * float(edge)
                      for edge in (beside.min(), beside.max())])  # fmt: skip
    line(drawn, to_window(outline, corner), OUTLINE, 3, closed=True)
    line(drawn, to_window(np.array([axis.start, axis.end]), corner), AXIS, 2)
    line(drawn, to_window(width, corner), AXIS, 2)
    write(drawn, f"length {reading.length_cm:.1f} cm, width {reading.width_cm:.1f} cm")
    return drawn


def with_fat_line(lit: Picture, plane: Plane, reading: Reading, corner: Points) -> Picture:
    """Length from the chine end, its quarters, and the fat line at the third of them."""
    drawn = lit.copy()
    axis = plane.to_mm(reading.axis_px)
    line(drawn, to_window(plane.to_mm(reading.outline_px), corner), OUTLINE, 2, closed=True)
    line(drawn, to_window(axis, corner), AXIS, 2)
    if reading.fat_line_px is None or reading.fat_mm is None:
        write(drawn, "no fat line was found")
        return drawn
    ends = plane.to_mm(reading.fat_line_px)
    along = (axis[1] - axis[0]) / np.hypot(*(axis[1] - axis[0]))
    chine, tail = axis if (ends[0] - axis.mean(axis=0)) @ along > 0 else axis[::-1]
    for quarter in (0.25, 0.5, 0.75):
        at = to_window((chine + quarter * (tail - chine))[None], corner)[0]
        cv2.circle(drawn, (round(at[0]), round(at[1])), 9, (0, 0, 255), cv2.FILLED, cv2.LINE_AA)
    line(drawn, to_window(ends, corner), FAT, 5)
    write(drawn, f"fat {reading.fat_mm:.1f} mm at 3/4 from the chine end")
    return drawn


def fat_share(
    lit: Picture, linear: NDArray[np.float32], outline_mm: Points, corner: Points, reading: Reading
) -> Picture:
    """Left the eye, right each pixel's way from lean (black) to fat (white), with what is counted in yellow."""
    inside = filled((outline_mm - corner) * PX_PER_MM, lit.shape[:2])
    fat = None if reading.fat_lab is None else lab_to_linear(np.array(reading.fat_lab))
    found = measure_marbling(linear, inside, px_per_mm=PX_PER_MM, fat_linear=fat)
    if found is None:
        raise ValueError("the eye is too small to draw its marbling")
    towards = found.fat_linear - found.lean_linear
    share = np.clip((linear - found.lean_linear) @ towards / (towards @ towards), 0, 1)
    painted = np.repeat((255 * share)[..., None], 3, axis=2).astype(np.uint8)
    painted[found.fat] = (0.35 * painted[found.fat] + 0.65 * np.array([0, 215, 255])).astype(np.uint8)
    painted[~inside] = (60, 60, 60)
    ys, xs = np.nonzero(inside)
    part = (slice(ys.min(), ys.max() + 1), slice(xs.min(), xs.max() + 1))
    return np.vstack([lit[part], painted[part]]).astype(np.uint8)


def to_window(points_mm: Points, corner: Points) -> Points:
    return (points_mm - corner) * PX_PER_MM


def line(
    drawn: Picture, points: Points, colour: tuple[int, int, int], thick: int, *, closed: bool = False
) -> None:
    corners = [np.round(points * 16).astype(np.int32).reshape(-1, 1, 2)]
    cv2.polylines(drawn, corners, closed, colour, thick, cv2.LINE_AA, 4)


def write(drawn: Picture, words: str) -> None:
    """Words along the lower edge."""
    size = drawn.shape[1] / 900
    high = round(44 * size)
    cv2.rectangle(
        drawn, (0, drawn.shape[0] - high), (drawn.shape[1], drawn.shape[0]), (20, 20, 20), cv2.FILLED
    )
    cv2.putText(drawn, words, (round(14 * size), drawn.shape[0] - round(14 * size)), cv2.FONT_HERSHEY_SIMPLEX,
                0.9 * size, (255, 255, 255), max(1, round(2 * size)), cv2.LINE_AA)  # fmt: skip


def fitted(picture: Picture, wide_px: int = WIDE_PX) -> Picture:
    """At most `wide_px` wide and 700 px high."""
    high, wide = picture.shape[:2]
    scale = min(1.0, wide_px / wide, 700 / high)
    size = (round(wide * scale), round(high * scale))
    return np.asarray(cv2.resize(picture, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
