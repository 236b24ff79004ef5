"""Marbling against shares that are known because they were drawn."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from gambrel.ribface import marbling
from gambrel.ribface.light import srgb_to_linear
from gambrel.ribface.marbling import Marbling, measure_marbling

PX_PER_MM = 6.0
LEAN = srgb_to_linear(np.array([62.0, 52.0, 128.0]))
FAT = srgb_to_linear(np.array([150.0, 205.0, 226.0]))  # yellowish, so that white is told from it
HIGH, WIDE = 300, 480


def made_eye(
    share: float, *, seed: int = 3, wide_mm: float = 1.2, long_mm: float = 5.0
) -> tuple[np.ndarray, float]:
    """Lean with upright flecks in linear light (H, W, 3), and the share of fat [%]."""
    rng = np.random.default_rng(seed)
    fat = np.zeros((HIGH, WIDE), np.float32)
    size = (round(wide_mm * PX_PER_MM), round(long_mm * PX_PER_MM))
    for _ in range(4000):
        if fat.mean() >= share:
            break
        x, y = rng.integers(10, WIDE - 10 - size[0]), rng.integers(10, HIGH - 10 - size[1])
        if not fat[y - 3 : y + size[1] + 3, x - 3 : x + size[0] + 3].any():
            fat[y : y + size[1], x : x + size[0]] = 1
    picture = LEAN + fat[..., None] * (FAT - LEAN)
    return picture.astype(np.float32), 100 * float(fat.mean())


def read(picture: np.ndarray, *, noise: float = 0.004, blur_px: float = 1.2, **how: object) -> Marbling:
    seen = cv2.GaussianBlur(picture, (0, 0), blur_px)
    seen = seen + np.random.default_rng(5).normal(0, noise, seen.shape)
    how = {"fat_linear": FAT} | how
    found = measure_marbling(seen.astype(np.float32), np.ones((HIGH, WIDE), bool), px_per_mm=PX_PER_MM, **how)
    assert found is not None
    return found


@pytest.mark.parametrize("share", [0.0, 0.02, 0.05, 0.1, 0.2])
def test_the_share_drawn_is_the_share_read(share: float) -> None:
    picture, true = made_eye(share) if share else (np.tile(LEAN, (HIGH, WIDE, 1)).astype(np.float32), 0.0)
    assert read(picture).share_pct == pytest.approx(true, abs=0.3 + 0.06 * true)


def test_more_drawn_is_more_read() -> None:
    shares = [read(made_eye(s)[0]).share_pct for s in (0.01, 0.03, 0.06, 0.12, 0.2)]
    assert shares == sorted(shares)


def test_slow_shading_is_not_marbling() -> None:
    picture, true = made_eye(0.05)
    ramp = np.linspace(0.7, 1.4, WIDE, dtype=np.float32)[None, :, None]
    assert read(picture * ramp).share_pct == pytest.approx(true, abs=1.6)
    bare = np.tile(LEAN, (HIGH, WIDE, 1)).astype(np.float32) * ramp
    assert read(bare).share_pct < 0.3


def test_noise_is_not_marbling() -> None:
    bare = np.tile(LEAN, (HIGH, WIDE, 1)).astype(np.float32)
    assert read(bare, noise=0.02).share_pct < 0.3


def test_glints_are_not_marbling() -> None:
    picture, true = made_eye(0.04)
    rng = np.random.default_rng(9)
    for _ in range(120):
        at = (int(rng.integers(8, WIDE - 8)), int(rng.integers(8, HIGH - 8)))
        cv2.circle(picture, at, 2, (0.8, 0.8, 0.8), cv2.FILLED)
    found = read(picture)
    assert found.glare_pct > 0.5
    assert found.share_pct == pytest.approx(true, abs=2.0)


def glinting(blur_px: float) -> Marbling:
    """Bare lean under strong glints, seen through a lens whose edges are 2.56 times `blur_px` wide, 10 to 90 %."""
    light = np.zeros((HIGH, WIDE), np.float32)
    rng = np.random.default_rng(9)
    for _ in range(60):
        at = (int(rng.integers(12, WIDE - 12)), int(rng.integers(12, HIGH - 12)))
        cv2.circle(light, at, 3, 3.0, cv2.FILLED)
    picture = (LEAN + light[..., None]).astype(np.float32)
    seen = np.minimum(cv2.GaussianBlur(picture, (0, 0), blur_px), 1.0)
    return read(seen, blur_px=0.3, blur_mm=2.56 * blur_px / PX_PER_MM)


def test_the_rim_of_blurred_glare_is_not_marbling(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where only the middle of each glint is told for glare, its rim is left out too; without that it is fat."""

    def middles(_soft, _lean, _fat, step, bright, **_):
        return bright & (step > 0.8), 0.0

    monkeypatch.setattr(marbling, "find_glare", middles)
    found = glinting(2.5)
    assert found.glare_pct > 1
    assert found.share_pct < 0.6
    monkeypatch.setattr(marbling, "BESIDE_GLARE", 0.0)
    assert glinting(2.5).share_pct > 3 * found.share_pct + 0.5


@pytest.mark.parametrize("turned_deg", [0, 17, 45, 90])
def test_the_edge_is_as_long_however_a_deposit_lies(turned_deg: float) -> None:
    """A bar of 160 by 20 px has 360 px of edge; a single bar by steps alone may seem a quarter longer or shorter."""
    bar = np.zeros((240, 240), np.uint8)
    corners = cv2.boxPoints(((120.0, 120.0), (160.0, 20.0), turned_deg))
    cv2.fillPoly(bar, [np.int32(corners.round())], 1)
    assert marbling._edge_px(bar > 0) == pytest.approx(360, rel=0.28)


def test_the_edge_of_round_deposits() -> None:
    """As edges run every way the length is right: 2 pi r."""
    disc = np.zeros((200, 200), np.uint8)
    cv2.circle(disc, (100, 100), 60, 1, cv2.FILLED)
    assert marbling._edge_px(disc > 0) == pytest.approx(2 * np.pi * 60, rel=0.03)


def test_fine_deposits_of_a_rich_eye_are_counted_less() -> None:
    fine = marbling.FINE_PER_MM[0] + 0.5
    assert marbling._without_overcount(30.0, fine) == pytest.approx(30 - 0.5 * marbling.FINE_PCT_MM)
    assert marbling._without_overcount(30.0, marbling.FINE_PER_MM[0]) == 30.0


def test_lean_eyes_are_left_as_they_are() -> None:
    assert marbling._without_overcount(marbling.FINE_IN_RICH_PCT[0], 3.0) == marbling.FINE_IN_RICH_PCT[0]


@pytest.mark.parametrize("edge_per_mm", [0.3, 0.9, 1.4, 5.0])
def test_more_fat_is_never_read_as_less(edge_per_mm: float) -> None:
    """At one fineness, whatever the share."""
    shares = [marbling._without_overcount(share, edge_per_mm) for share in np.arange(0.0, 50.0, 0.25)]
    assert np.all(np.diff(shares) >= -1e-9) and min(shares) >= 0


@pytest.mark.parametrize("reach,count", [(0.5, 1), (1.0, 5), (2.1, 13)])
def test_places_within_a_reach(reach: float, count: int) -> None:
    """About one place: itself; its 4 neighbours too; and the 13 places of a disc of two."""
    one = np.zeros((9, 9), bool)
    one[4, 4] = True
    assert np.count_nonzero(marbling._within(one, reach)) == count


def test_within_reach_of_nothing_is_nothing() -> None:
    assert not marbling._within(np.zeros((9, 9), bool), 3.0).any()


def test_broad_sheen_is_not_marbling() -> None:
    y, x = np.mgrid[0:HIGH, 0:WIDE]
    sheen = 0.10 * np.exp(-(((x - 240) / 60.0) ** 2 + ((y - 150) / 50.0) ** 2))
    bare = np.tile(LEAN, (HIGH, WIDE, 1)) + sheen[..., None]
    assert read(bare.astype(np.float32)).share_pct < 1.0


def test_threads_finer_than_the_blur_still_count() -> None:
    picture, _ = made_eye(0.03, wide_mm=0.5, long_mm=8.0)
    assert read(picture, blur_px=2.0).share_pct > 1.0


def test_without_cover_fat_the_eye_itself_shows_what_fat_is() -> None:
    picture, true = made_eye(0.10)
    assert read(picture, fat_linear=None, balanced=False).share_pct == pytest.approx(true, abs=4)


def test_colours_come_with_it() -> None:
    found = read(made_eye(0.08)[0])
    assert np.allclose(found.lean_linear, LEAN, atol=0.01)
    assert np.allclose(found.fat_linear, FAT)
    assert not np.any(found.fat & found.glare)


def test_the_rim_is_left_out() -> None:
    """Seam fat that lies just inside a careless outline is not marbling."""
    picture = np.tile(LEAN, (HIGH, WIDE, 1)).astype(np.float32)
    picture[:2] = FAT
    assert read(picture, blur_px=0.6).share_pct < 0.5


def test_an_eye_of_a_few_pixels_is_none() -> None:
    tiny = np.tile(LEAN, (12, 12, 1)).astype(np.float32)
    assert measure_marbling(tiny, np.ones((12, 12), bool), px_per_mm=1.0) is None


def test_an_eye_that_seems_to_be_mostly_glare_is_a_rich_one(monkeypatch: pytest.MonkeyPatch) -> None:
    picture, true = made_eye(0.4, wide_mm=2.0)
    monkeypatch.setattr(marbling, "find_glare", lambda *a, **_: (a[4].copy(), 0.0))
    found = read(picture)
    assert found.glare_pct < 1
    assert found.share_pct == pytest.approx(true, abs=4)
    few = read(made_eye(0.1)[0])
    assert few.share_pct == 0 and few.glare_pct > 5
