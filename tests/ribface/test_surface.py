"""The outer surface by classes, on maps made by hand whose surface is known."""

from __future__ import annotations

import numpy as np
import pytest

from gambrel.ribface.geometry import fat_line, longest_chord
from gambrel.ribface.network import BACKGROUND, CARD, CLASSES, EYE, HAND, View
from gambrel.ribface.plane import Plane
from gambrel.ribface.surface import cover_by_classes, side_is_sure

MM_PER_PX = 0.5
HALF_LENGTH, HALF_WIDTH, FAT = 65.0, 32.0, 12.0
MIDDLE = np.array([80.0, 90.0])
UP = np.array([0.0, -1.0])


def ellipse(grow: float = 0.0) -> np.ndarray:
    """Corners (n, 2) [mm] of the eye, or of the body around it."""
    t = np.linspace(0, 2 * np.pi, 240, endpoint=False)
    return MIDDLE + np.stack([(HALF_LENGTH + grow) * np.cos(t), (HALF_WIDTH + grow) * np.sin(t)], axis=1)


def made_view(fat: float = FAT, *, hide: int | None = None, hole: bool = False) -> View:
    """Maps at 1 mm a pixel: eye, fat around it, then background; the edge a soft step about the true surface."""
    y, x = np.mgrid[0:180, 0:160].astype(float)
    away = np.stack([x, y], axis=-1) - MIDDLE
    beyond = np.hypot(away[..., 0] / (HALF_LENGTH + fat), away[..., 1] / (HALF_WIDTH + fat)) - 1
    out = 1 / (1 + np.exp(-beyond * (HALF_WIDTH + fat) * 2))
    maps = np.zeros((len(CLASSES) + 3, 180, 160), np.float32)
    maps[BACKGROUND] = out
    maps[CLASSES.index("fat")] = 1 - out
    if hole:
        maps[BACKGROUND, 56:58, 95:122] = 0.9
    if hide is not None:
        maps[:, :60] = 0
        maps[hide, :60] = 1
    maps[EYE][np.hypot(away[..., 0] / HALF_LENGTH, away[..., 1] / HALF_WIDTH) < 1] = 1
    # a map pixel is 1 mm, two of the view's pixels, and so 2 px of the picture at half a millimetre
    return View(maps, np.array([1, 0, 0, 0], np.float32), np.array([[1.0, 0, -0.5], [0, 1.0, -0.5]]))


def measured(view: View, outward: np.ndarray = UP) -> float | None:
    polygon = ellipse()
    axis = longest_chord(polygon)
    cover = cover_by_classes(view, Plane.square_on(MM_PER_PX), polygon, axis, outward)
    if cover is None:
        return None
    line = fat_line(polygon, axis, cover.surface_mm, cover.spread_mm)
    return None if line is None else line.thickness_mm


def true_thickness(fat: float) -> float:
    """From the point at three-quarters of the length square to the body's ellipse, less what lies in the eye."""
    body = ellipse(fat)
    site = MIDDLE + np.array([HALF_LENGTH / 2, 0])
    upper = body[body[:, 1] < MIDDLE[1]]
    foot = upper[np.argmin(np.hypot(*(upper - site).T))]
    way = (foot - site) / np.hypot(*(foot - site))
    steps = site + np.linspace(0, 60, 6001)[:, None] * way
    inside = np.hypot(*((steps - MIDDLE) / (HALF_LENGTH, HALF_WIDTH)).T) < 1
    return float(np.hypot(*(foot - site)) - np.linspace(0, 60, 6001)[inside].max())


@pytest.mark.parametrize("fat", [5.0, 12.0, 22.0])
def test_the_thickness_comes_out(fat: float) -> None:
    assert measured(made_view(fat)) == pytest.approx(true_thickness(fat), abs=0.6)


def test_the_other_side_is_taken_where_the_hint_says_so() -> None:
    polygon = ellipse()
    axis = longest_chord(polygon)
    plane = Plane.square_on(MM_PER_PX)
    up = cover_by_classes(made_view(), plane, polygon, axis, UP)
    down = cover_by_classes(made_view(), plane, polygon, axis, -UP)
    assert up is not None and down is not None
    assert up.side == -down.side
    assert up.surface_mm[:, 1].max() < MIDDLE[1] < down.surface_mm[:, 1].min()


def test_a_narrow_gap_in_the_fat_is_not_its_end() -> None:
    assert measured(made_view(hole=True)) == pytest.approx(measured(made_view()), abs=0.8)


@pytest.mark.parametrize("hidden", [CARD, HAND])
def test_what_lies_under_a_card_or_hand_is_not_measured(hidden: int) -> None:
    assert measured(made_view(hide=hidden)) is None


@pytest.mark.parametrize("way", [(0.0, -0.5), (1.0, 0.0), (0.9, -0.3)])
def test_a_weak_hint_gives_nothing(way: tuple[float, float]) -> None:
    axis = longest_chord(ellipse())
    assert not side_is_sure(axis, np.array(way))
    assert measured(made_view(), np.array(way)) is None


def test_the_surface_is_seen_round_the_end_of_the_eye() -> None:
    """A thin cover comes nearest to the place of measuring farther out than rays square to the axis reach."""
    polygon = ellipse()
    axis = longest_chord(polygon)
    cover = cover_by_classes(made_view(), Plane.square_on(MM_PER_PX), polygon, axis, UP)
    assert cover is not None
    across = np.abs(cover.surface_mm[:, 0] - MIDDLE[0])
    assert across[0] > 0.9 * HALF_LENGTH and across[-1] > 0.9 * HALF_LENGTH
    body = (cover.surface_mm - MIDDLE) / (HALF_LENGTH + FAT, HALF_WIDTH + FAT)
    assert np.hypot(*body.T) == pytest.approx(1.0, abs=0.03)


def test_beyond_the_map_nothing_is_measured() -> None:
    view = made_view(60.0)
    assert measured(view) is None
