"""Glare told from fat on eyes where both are known because they were drawn."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from gambrel.ribface.glare import FEATURES, WEIGHTS, find_glare, glare_features, highest_near, two_lights

PX_PER_MM = 5.0
LEAN = np.array([0.03, 0.04, 0.20], np.float32)
FAT = np.array([0.35, 0.60, 0.75], np.float32)
HIGH, WIDE = 240, 400


def drawn(*, fats: int, glints: int, lamp: tuple[float, float, float] = (1, 1, 1), seed: int = 4):
    """An eye in linear light (H, W, 3) with flecks of fat at the left and glints at the right, and where they lie."""
    rng = np.random.default_rng(seed)
    fat, shine = np.zeros((HIGH, WIDE), np.float32), np.zeros((HIGH, WIDE), np.float32)
    for _ in range(fats):
        x, y = int(rng.integers(10, 170)), int(rng.integers(10, 220))
        cv2.ellipse(fat, (x, y), (9, 3), float(rng.integers(0, 180)), 0, 360, 1.0, cv2.FILLED)
    for _ in range(glints):
        x, y = int(rng.integers(220, 390)), int(rng.integers(10, 220))
        cv2.circle(shine, (x, y), 2, float(rng.uniform(0.4, 1.6)), cv2.FILLED)
    fat, shine = cv2.GaussianBlur(fat, (0, 0), 0.9), cv2.GaussianBlur(shine, (0, 0), 0.9)
    picture = LEAN + fat[..., None] * (FAT - LEAN) + shine[..., None] * np.array(lamp, np.float32)
    return np.minimum(picture, 1).astype(np.float32), fat > 0.4, shine > 0.2


def steps(picture: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The bare lean, the step towards fat, and what is bright."""
    lean = np.tile(LEAN, (HIGH, WIDE, 1))
    towards = FAT - LEAN
    step = ((picture - lean) @ towards / (towards @ towards)).astype(np.float32)
    return lean, step, step > 0.25


def judged(picture: np.ndarray) -> tuple[np.ndarray, float]:
    lean, step, bright = steps(picture)
    return find_glare(picture, lean, FAT, step, bright, px_per_mm=PX_PER_MM)


@pytest.mark.parametrize("lamp", [(1.0, 1.0, 1.0), (1.08, 1.0, 0.95), (0.93, 1.0, 1.05)])
def test_glints_are_glare_and_flecks_are_not(lamp: tuple[float, float, float]) -> None:
    picture, fat, shine = drawn(fats=40, glints=60, lamp=lamp)
    glare, _ = judged(picture)
    assert glare[fat].mean() < 0.1
    assert glare[shine].mean() > 0.8


def test_an_eye_without_glints_has_no_glare() -> None:
    picture, _, _ = drawn(fats=60, glints=0)
    glare, doubt = judged(picture)
    assert glare.mean() < 0.002
    assert doubt < 0.3


def test_an_eye_without_anything_bright_has_no_glare() -> None:
    glare, doubt = judged(np.tile(LEAN, (HIGH, WIDE, 1)))
    assert not glare.any()
    assert doubt == 0


def test_glare_is_bright() -> None:
    picture, _, _ = drawn(fats=30, glints=30)
    glare, _ = judged(picture)
    assert not np.any(glare & ~steps(picture)[2])


def test_every_feature_has_a_weight_and_a_row() -> None:
    picture, _, _ = drawn(fats=20, glints=20)
    lean, step, bright = steps(picture)
    rows = glare_features(picture, lean, FAT, step, bright, px_per_mm=PX_PER_MM)
    assert rows.shape == (len(FEATURES), int(bright.sum())) and len(WEIGHTS) == len(FEATURES)
    assert np.isfinite(rows).all()


def test_the_colour_of_a_glint_lies_towards_white() -> None:
    picture, fat, shine = drawn(fats=40, glints=40)
    lean, step, bright = steps(picture)
    off = glare_features(picture, lean, FAT, step, bright, px_per_mm=PX_PER_MM)[FEATURES.index("off_fat_deg")]
    assert np.median(off[fat[bright]]) == pytest.approx(0, abs=1)
    third = np.ones(3) / np.sqrt(3)
    towards = (FAT - LEAN) / np.linalg.norm(FAT - LEAN)
    assert np.median(off[shine[bright]]) == pytest.approx(np.degrees(np.arccos(towards @ third)), abs=4)


@pytest.mark.parametrize("fat_deg,white_deg,share", [(0.0, 12.0, 0.3), (3.0, 10.0, 0.5), (-3.0, 15.0, 0.1)])
def test_two_heaps_are_found_where_they_were_put(fat_deg: float, white_deg: float, share: float) -> None:
    rng = np.random.default_rng(8)
    white = rng.random(4000) < share
    off = np.where(white, white_deg, fat_deg) + rng.normal(0, 1.2, 4000)
    found = two_lights(off.astype(np.float32), np.ones(4000, np.float32), 12.0)
    assert found.fat_deg == pytest.approx(fat_deg, abs=1.2)
    assert found.white_deg == pytest.approx(white_deg, abs=1.5)
    assert found.glare_share == pytest.approx(share, abs=0.12)
    assert (found.odds(off.astype(np.float32)) > 0).mean() == pytest.approx(share, abs=0.06)


def test_one_heap_stays_fat() -> None:
    off = np.random.default_rng(3).normal(1.0, 1.5, 3000).astype(np.float32)
    found = two_lights(off, np.ones(3000, np.float32), 12.0)
    assert (found.odds(off) < 0).mean() > 0.97


def test_the_highest_near_reaches_as_far_as_said() -> None:
    field = np.zeros((41, 41), np.float32)
    field[20, 20] = 1
    near = highest_near(field, PX_PER_MM)
    assert near[20, 16] == 1 and near[20, 15] == 0
