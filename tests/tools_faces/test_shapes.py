"""Outlines: area, chord and smoothing against shapes whose sizes are known from geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from render import colours, marbling, shapes
from render.camera import coverage, place_camera
from render.draw import Draw


def ellipse(a, b, count=720):
    t = np.linspace(0, 2 * np.pi, count, endpoint=False)
    return np.stack([a * np.cos(t), b * np.sin(t)], axis=1)


def test_area_and_chord_of_an_ellipse():
    assert shapes.area(ellipse(70, 30)) == pytest.approx(math.pi * 70 * 30, rel=1e-4)
    a, b = shapes.longest_chord(ellipse(70, 30))
    assert np.hypot(*(a - b)) == pytest.approx(140, abs=1e-3)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), area=st.floats(1900, 15000), spread=st.floats(0.5, 1.7))
def test_an_eye_has_the_area_asked_for_and_one_outline(seed, area, spread):
    eye = shapes.eye_outline(Draw(seed, "test"), area_mm2=area, spread=spread)
    assert shapes.area(eye) == pytest.approx(area, rel=1e-6)
    assert np.isfinite(eye).all()
    assert np.hypot(*np.diff(np.vstack([eye, eye[:1]]), axis=0).T).max() < 8


@settings(max_examples=25, deadline=None)
@given(a=st.floats(5, 40), b=st.floats(5, 40), dx=st.floats(0, 1), dy=st.floats(0, 1))
def test_coverage_adds_up_to_the_area(a, b, dx, dy):
    outline = ellipse(a, b) + np.array([45 + dx, 45 + dy])
    assert coverage(outline, (0, 0, 91, 91)).sum() == pytest.approx(math.pi * a * b, rel=0.006, abs=0.6)


@settings(max_examples=25, deadline=None)
@given(tilt=st.floats(0, 25), towards=st.floats(0, 360), turn=st.floats(-180, 180), k1=st.floats(-0.02, 0.02))
def test_camera_there_and_back(tilt, towards, turn, k1):
    camera = place_camera(
        width=4032, height=3024, aim_mm=np.array([10.0, -5.0]), px_per_mm=9.0, turn_deg=turn, tilt_deg=tilt,
        tilt_towards_deg=towards, focal_px=3200, k1=k1,
    )  # fmt: skip
    spots = ellipse(80, 60, 40)
    assert camera.to_mm(camera.to_px(spots)) == pytest.approx(spots, abs=0.02)


def test_upright_camera_scale_and_sense():
    camera = place_camera(
        width=401, height=301, aim_mm=np.zeros(2), px_per_mm=2.0, turn_deg=0, tilt_deg=0, tilt_towards_deg=0,
        focal_px=400, k1=0.0,
    )  # fmt: skip
    px = camera.to_px(np.array([[0.0, 0.0], [10.0, 0.0], [0.0, 10.0]]))
    assert px == pytest.approx(np.array([[200, 150], [220, 150], [200, 130]]), abs=1e-6)


# CIE Lab (D65, 2 degrees) of the primaries of IEC 61966-2-1 (sRGB), as the W3C's CSS Color 4 conversions
# give them to two decimals under D65: from memory of the standard's well-known values
@pytest.mark.parametrize(
    ("rgb", "lab"),
    [((1, 1, 1), (100, 0, 0)), ((1, 0, 0), (53.24, 80.09, 67.20)), ((0, 1, 0), (87.73, -86.18, 83.18))],
)
def test_lab_of_the_primaries(rgb, lab):
    assert colours.to_lab(np.array(rgb, float)) == pytest.approx(np.array(lab), abs=0.15)


@settings(max_examples=25, deadline=None)
@given(st.floats(20, 80), st.floats(0, 25), st.floats(0, 20))
def test_lab_there_and_back(lightness, a, b):
    assert colours.to_lab(colours.from_lab((lightness, a, b))) == pytest.approx([lightness, a, b], abs=0.01)


@pytest.mark.parametrize("share", [0.005, 0.03, 0.10, 0.25, 0.42])
def test_deposits_reach_the_share_asked_for(share):
    eye = shapes.eye_outline(Draw(9, "eye"), area_mm2=8000, spread=1)
    found = []
    for seed in range(4):
        deposits = marbling.draw_deposits(Draw(seed, "fat"), eye, share=share, px_per_mm=4)
        assert 0 <= deposits.fat.min() <= deposits.fat.max() <= 1
        found.append(marbling.true_share(deposits, eye))
    assert np.mean(found) == pytest.approx(share, rel=0.25, abs=0.003)
