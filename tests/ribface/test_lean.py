"""The lean's own colour under marbling, bruises and shading, against fields that are known because they were drawn."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from gambrel.ribface.lean import lean_field, spread_out

PX_PER_MM = 5.0
LEAN = np.array([0.05, 0.06, 0.25], np.float32)
FAT = np.array([0.45, 0.60, 0.70], np.float32)
HIGH, WIDE = 240, 400
EYE = np.ones((HIGH, WIDE), bool)


def with_fat(share: float, lean: np.ndarray, *, wide: int = 6, seed: int = 1) -> np.ndarray:
    """Bars of fat over the lean (H, W, 3) until they cover `share`."""
    rng = np.random.default_rng(seed)
    fat = np.zeros((HIGH, WIDE), np.float32)
    while fat.mean() < share:
        x, y = rng.integers(0, WIDE - 30), rng.integers(0, HIGH - wide)
        fat[y : y + wide, x : x + 30] = 1
    return np.asarray(lean + fat[..., None] * (FAT - lean), np.float32)


def off(
    picture: np.ndarray, truth: np.ndarray, *, fat_green_share: float | None = float(FAT[1])
) -> np.ndarray:
    """How far the green of the field found lies from the truth, as a share of the way to fat (H, W)."""
    soft = cv2.GaussianBlur(picture, (0, 0), 0.8)
    found = lean_field(soft, EYE, px_per_mm=PX_PER_MM, fat_green_share=fat_green_share)
    return np.asarray((found[..., 1] - truth[..., 1]) / (FAT[1] - truth[..., 1]))


def plain() -> np.ndarray:
    return np.tile(LEAN, (HIGH, WIDE, 1))


@pytest.mark.parametrize("share", [0.0, 0.05, 0.2, 0.4])
def test_marbling_does_not_lift_the_lean(share: float) -> None:
    assert np.abs(off(with_fat(share, plain()), plain())).mean() < 0.03


@pytest.mark.parametrize("share", [0.0, 0.1])
def test_a_bruise_is_followed_and_does_not_darken_the_rest(share: float) -> None:
    y, x = np.mgrid[0:HIGH, 0:WIDE]
    bruise = 1 - 0.7 * np.exp(-(((x - 100) / 40.0) ** 2 + ((y - 120) / 40.0) ** 2))
    truth = (plain() * bruise[..., None]).astype(np.float32)
    gap = off(with_fat(share, truth), truth)
    assert np.abs(gap).mean() < 0.03
    assert np.abs(gap[:, 250:]).max() < 0.08


def test_shading_is_followed() -> None:
    ramp = np.linspace(0.5, 1.6, WIDE, dtype=np.float32)[None, :, None]
    truth = plain() * ramp
    assert np.abs(off(with_fat(0.08, truth), truth)).mean() < 0.03


def test_fat_of_unknown_colour_is_left_out_too() -> None:
    assert np.abs(off(with_fat(0.1, plain()), plain(), fat_green_share=None)).mean() < 0.04


def test_what_lies_outside_the_eye_does_not_count() -> None:
    picture = plain()
    picture[:, 200:] = FAT
    inside = EYE.copy()
    inside[:, 190:] = False
    found = lean_field(picture, inside, px_per_mm=PX_PER_MM, fat_green_share=float(FAT[1]))
    assert np.allclose(found[:, :180, 1], LEAN[1], atol=0.005)


def test_an_eye_smaller_than_a_sample_still_has_a_field() -> None:
    tiny = np.tile(LEAN, (20, 20, 1))
    none = np.zeros((20, 20), bool)
    none[11, 11] = True
    assert np.allclose(lean_field(tiny, none, px_per_mm=PX_PER_MM, fat_green_share=None), LEAN, atol=1e-4)


def test_samples_spread_out_lie_where_they_were_taken() -> None:
    field = np.random.default_rng(2).random((50, 70, 3)).astype(np.float32)
    whole = spread_out(np.ascontiguousarray(field[::5, ::5]), 5, (50, 70))
    assert np.allclose(whole[::5, ::5], field[::5, ::5], atol=1e-5)
