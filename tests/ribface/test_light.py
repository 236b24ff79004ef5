"""Light from the grey patches, and Lab against published values."""

from __future__ import annotations

import numpy as np
import pytest
from faces.made_scene import FAT, LEAN, Made, make_scene, through
from hypothesis import given
from hypothesis import strategies as st

from gambrel.ribface.light import (
    Light,
    lab_to_linear,
    light_from_card,
    light_without_card,
    linear_to_lab,
    srgb_to_linear,
)
from gambrel.ribface.plane import Card, find_card
from gambrel.ribface.refuse import Reason, Refusal

# Lab (D65) of the sRGB primaries as commonly tabulated, from memory; the tests below lean on definitions.
PRIMARIES = {"red": ((255, 0, 0), (53.24, 80.09, 67.20)), "green": ((0, 255, 0), (87.73, -86.18, 83.18)),
             "blue": ((0, 0, 255), (32.30, 79.19, -107.86))}  # fmt: skip


@pytest.mark.parametrize("rgb,lab", PRIMARIES.values(), ids=PRIMARIES)
def test_lab_of_the_primaries(rgb: tuple[int, ...], lab: tuple[float, ...]) -> None:
    got = linear_to_lab(srgb_to_linear(np.array(rgb[::-1], dtype=float)))
    assert np.allclose(got, lab, atol=0.05)


def test_white_and_black_are_neutral() -> None:
    assert np.allclose(linear_to_lab(np.ones(3)), [100, 0, 0], atol=0.02)
    assert np.allclose(linear_to_lab(np.zeros(3)), [0, 0, 0], atol=0.02)


def test_middle_grey_of_the_standard() -> None:
    """CIE Y of 18.42 % is L* 50 by the definition of L*: 116 (Y)^(1/3) - 16. [CIE 15]"""
    assert linear_to_lab(np.full(3, 0.18418651851))[0] == pytest.approx(50.0, abs=0.01)


@given(st.tuples(*[st.floats(0.001, 1.0)] * 3))
def test_lab_and_back(bgr: tuple[float, float, float]) -> None:
    lab = linear_to_lab(np.array(bgr)).astype(float)
    assert np.allclose(lab_to_linear(lab), bgr, atol=2e-4)


def test_the_fast_way_to_lab_agrees_with_the_exact_one() -> None:
    light = Light(np.zeros((256, 3), np.float32), True, 240.0, 0.0)
    colours = np.random.default_rng(1).uniform(0.01, 0.95, (20, 30, 3)).astype(np.float32)
    assert np.abs(light.lab(colours) - linear_to_lab(colours)).max() < 0.6


def lab_of(scene, light: Light, at_mm: tuple[float, float]) -> np.ndarray:
    x, y = np.round(through(scene.to_px, np.array([at_mm]))[0]).astype(int)
    patch = scene.bgr[y - 8 : y + 9, x - 8 : x + 9]
    return np.median(light.lab(light.linear(patch)).reshape(-1, 3), axis=0)


@pytest.mark.parametrize(
    "made",
    [
        Made(),
        Made(gain=(0.7, 0.85, 1.0)),
        Made(gain=(0.5, 0.5, 0.5)),
        Made(gamma=1.25),
        Made(gamma=0.85, gain=(0.8, 0.7, 0.6)),
    ],
    ids=["plain", "warm", "dim", "steep", "flat and warm"],
)
def test_colours_come_back_whatever_the_light(made: Made) -> None:
    scene = make_scene(made)
    card = find_card(scene.bgr)
    assert isinstance(card, Card)
    light = light_from_card(scene.bgr, card)
    assert isinstance(light, Light)
    assert light.from_card
    for at, colour in (((95, 140), LEAN), ((95, 103), FAT)):
        true = linear_to_lab(srgb_to_linear(np.array(colour, dtype=float)))
        assert np.abs(lab_of(scene, light, at) - true).max() < 4.0


def test_too_dark_is_refused() -> None:
    scene = make_scene(Made(gain=(0.04, 0.04, 0.04), noise=0.5))
    card = find_card(scene.bgr)
    assert isinstance(card, Card)
    answer = light_from_card(scene.bgr, card)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.TOO_DARK


def test_blown_out_is_refused() -> None:
    scene = make_scene(Made(gain=(2.5, 2.5, 2.5)))
    card = find_card(scene.bgr)
    assert isinstance(card, Card)
    answer = light_from_card(scene.bgr, card)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.BLOWN_OUT


def test_a_table_never_falls() -> None:
    for made in (Made(), Made(gamma=1.3), Made(gamma=0.8)):
        scene = make_scene(made)
        card = find_card(scene.bgr)
        assert isinstance(card, Card)
        light = light_from_card(scene.bgr, card)
        assert isinstance(light, Light)
        assert np.all(np.diff(light.table[5:], axis=0) >= 0)


def test_without_a_card_it_says_so(plain) -> None:
    light = light_without_card(plain.bgr)
    assert not light.from_card
    assert "guess" in light.warnings[0]
