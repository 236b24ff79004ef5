"""The fitting of the glare's weights, and the shine it learns from."""

from __future__ import annotations

import numpy as np
import pytest
from faces import fit_glare
from faces.render import render_face
from faces.render.draw import Draw
from faces.render.paint import _let_through, _slope

from gambrel.ribface.glare import FEATURES


def invented(count: int, *, bright_share: float = 0.05) -> list[fit_glare.Seen]:
    """Eyes whose places are glare where the first feature less the second is above 1."""
    draw = np.random.default_rng(5)
    eyes = []
    for _ in range(count):
        features = draw.normal(0, 2, (200, len(FEATURES)))
        eyes.append(fit_glare.Seen(features, features[:, 0] - features[:, 1] > 1, bright_share))
    return eyes


def test_the_line_that_parts_them_is_found() -> None:
    eyes = invented(12)
    weights, offset = fit_glare.fit(eyes)
    right = [np.mean((each.features @ weights + offset > 0) == each.is_glare) for each in eyes]
    assert np.mean(right) > 0.97
    assert -offset / weights[0] == pytest.approx(1, abs=0.2)
    assert weights[1] == pytest.approx(-weights[0], rel=0.1)


def test_an_eye_that_is_mostly_glare_does_not_vote() -> None:
    eyes = invented(8)
    shining = fit_glare.Seen(eyes[0].features, ~eyes[0].is_glare, 0.9)
    assert np.allclose(fit_glare.fit(eyes)[0], fit_glare.fit([*eyes, shining])[0])


def test_shine_and_fat_come_with_a_rendering_when_asked_for() -> None:
    made = render_face(9_000_003, size=(320, 240), want="good", fat_map=True)
    assert made.fat_map is not None and made.shine_map is not None
    assert made.fat_map.shape == made.shine_map.shape == made.labels.shape
    assert made.fat_map.min() >= 0 and made.fat_map.max() <= 1
    assert made.shine_map.min() >= 0
    plain = render_face(9_000_003, size=(320, 240), want="good")
    assert plain.shine_map is None and np.array_equal(plain.bgr, made.bgr)


def test_broad_fat_hides_the_lean_and_threads_let_it_through() -> None:
    fat = np.zeros((60, 60), np.float32)
    fat[10:40, 10:40] = 1
    fat[50, 5:55] = 1
    hidden = _let_through(Draw(4, "let through"), fat, 4.0)
    assert hidden[25, 25] == pytest.approx(1, abs=0.02)
    assert 0.6 < hidden[50, 30] < 0.999
    assert np.all(hidden <= fat + 1e-6)


def test_slopes_have_the_spread_asked_for() -> None:
    bumps = np.random.default_rng(6).random((80, 90)).astype(np.float32)
    for axis in (0, 1):
        assert _slope(bumps, axis, 0.2).std() == pytest.approx(0.2, rel=0.1)
    ramp = np.tile(np.arange(90, dtype=np.float32) ** 2, (80, 1))
    assert np.abs(_slope(ramp, 0, 0.2)[5:-5]).max() < 0.02
