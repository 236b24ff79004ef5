"""Halving a picture, against means taken by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.shrink import halved, halvings, to_full


def noise(high: int, wide: int) -> np.ndarray:
    return np.random.default_rng(high * 1000 + wide).integers(0, 256, (high, wide, 3)).astype(np.uint8)


@given(st.integers(8, 40), st.integers(8, 40), st.integers(0, 3))
def test_each_pixel_is_the_mean_of_its_block(high: int, wide: int, often: int) -> None:
    picture, by = noise(high, wide), 2**often
    small = halved(picture, often)
    assert small.shape == (high // by, wide // by, 3)
    for y in range(small.shape[0]):
        for x in range(small.shape[1]):
            block = picture[y * by : (y + 1) * by, x * by : (x + 1) * by].reshape(-1, 3)
            # rounded at every halving: half a unit each time
            assert np.abs(block.mean(axis=0) - small[y, x]).max() <= 0.5 * often + 1e-9


@pytest.mark.parametrize("often", range(4))
def test_places_go_back_to_the_middle_of_their_block(often: int) -> None:
    """A bright spot of one block is found again at that block's centre."""
    by = 2**often
    picture = np.zeros((64, 64, 3), np.uint8)
    picture[3 * by : 4 * by, 2 * by : 3 * by] = 200
    y, x, _ = np.unravel_index(int(halved(picture, often).argmax()), halved(picture, often).shape)
    ys, xs = np.nonzero(picture[:, :, 0])
    assert to_full(often) @ (x, y, 1) == pytest.approx((xs.mean(), ys.mean(), 1))


def test_grey_pictures_too() -> None:
    assert halved(noise(20, 31)[:, :, 0], 1).shape == (10, 15)


@pytest.mark.parametrize(
    ("times", "often"),
    [(0.0, 0), (0.5, 0), (1.0, 0), (1.8, 0), (1.91, 1), (2.0, 1), (3.5, 1), (3.9, 2), (7.0, 2), (8.0, 3)],
)
def test_how_often(times: float, often: int) -> None:
    """Never smaller than wanted by more than a twentieth, and one halving more would be."""
    assert halvings(times) == often
    assert often == 0 or 2**often <= 1.05 * times
    assert 2 ** (often + 1) > 1.05 * times
