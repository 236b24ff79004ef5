"""The network's finder on rendered faces from held-back seeds: outline, hints, taps and what it refuses."""

from __future__ import annotations

from typing import Any

import cv2
import numpy as np
import pytest
from faces.render import render_face

from gambrel.ribface.network import ALONG, CLASSES, OUTWARD, look_at_whole, look_closer
from gambrel.ribface.outline import EyeOutline, filled, overlap
from gambrel.ribface.outline_classic import find_eye_classic
from gambrel.ribface.outline_net import find_eye
from gambrel.ribface.refuse import Reason, Refusal

SEEDS = range(50_200_000, 50_200_012)
SIZE = (896, 672)


@pytest.fixture(scope="module")
def rendered() -> dict[int, Any]:
    return {seed: render_face(seed, size=SIZE, want="good") for seed in SEEDS}


@pytest.fixture(scope="module")
def found(rendered: dict[int, Any]) -> dict[int, EyeOutline]:
    eyes = {seed: find_eye(made.bgr, None, None) for seed, made in rendered.items()}
    assert not [eye for eye in eyes.values() if isinstance(eye, Refusal)]
    return eyes  # type: ignore[return-value]


def shared(made: Any, eye: EyeOutline | Refusal) -> float:
    if isinstance(eye, Refusal):
        return 0.0
    shape = made.bgr.shape[:2]
    return overlap(
        filled(np.array(made.truth["eye_outline_px"]), shape),
        filled(eye.polygon_px, shape),
    )


def refused(made: Any) -> Reason:
    answer = find_eye(made.bgr, None, None)
    assert isinstance(answer, Refusal), answer
    return answer.reason


def test_the_outline_is_that_of_the_rendering(rendered: dict[int, Any], found: dict[int, EyeOutline]) -> None:
    shares = [shared(rendered[seed], found[seed]) for seed in SEEDS]
    assert np.median(shares) > 0.96, shares
    assert sum(share > 0.9 for share in shares) >= 11, shares


def test_it_beats_the_finder_by_colour(rendered: dict[int, Any], found: dict[int, EyeOutline]) -> None:
    few = list(SEEDS)[:6]
    by_colour = [shared(rendered[seed], find_eye_classic(rendered[seed].bgr, None, None)) for seed in few]
    by_network = [shared(rendered[seed], found[seed]) for seed in few]
    assert np.mean(by_network) > np.mean(by_colour)


def test_hints_point_to_the_chine(rendered: dict[int, Any], found: dict[int, EyeOutline]) -> None:
    right = 0
    for seed in SEEDS:
        chine, tail = np.array(rendered[seed].truth["long_axis_px"])
        hints = found[seed].hints
        assert hints is not None
        assert np.hypot(*hints.to_chine_px) <= 1 + 1e-6
        right += float(hints.to_chine_px @ (chine - tail)) > 0
    assert right >= 10


def test_hints_point_out_of_the_cover(rendered: dict[int, Any], found: dict[int, EyeOutline]) -> None:
    right = asked = 0
    for seed in SEEDS:
        line = rendered[seed].truth["fat_line_px"]
        if line is None:
            continue
        outside, at_eye = np.array(line)
        hints = found[seed].hints
        assert hints is not None
        asked += 1
        right += float(hints.outward_px @ (outside - at_eye)) > 0
    assert asked >= 6
    assert right >= asked - 1


def test_the_same_picture_gives_the_same_outline(
    rendered: dict[int, Any], found: dict[int, EyeOutline]
) -> None:
    again = find_eye(rendered[SEEDS[0]].bgr, None, None)
    assert isinstance(again, EyeOutline)
    assert np.array_equal(again.polygon_px, found[SEEDS[0]].polygon_px)
    assert again.by == "network"
    assert 0.9 < again.confidence <= 1


@pytest.mark.parametrize("factor", [0.6, 1.7])
def test_the_size_of_the_picture_does_not_matter(
    rendered: dict[int, Any], found: dict[int, EyeOutline], factor: float
) -> None:
    made = rendered[SEEDS[0]]
    scaled = cv2.resize(made.bgr, None, fx=factor, fy=factor, interpolation=cv2.INTER_AREA)
    eye = find_eye(np.asarray(scaled, np.uint8), None, None)
    assert isinstance(eye, EyeOutline)
    shape = made.bgr.shape[:2]
    back = (eye.polygon_px + 0.5) / factor - 0.5
    assert overlap(filled(back, shape), filled(found[SEEDS[0]].polygon_px, shape)) > 0.95


def test_a_tap_in_the_eye_takes_it_and_one_beside_it_does_not(
    rendered: dict[int, Any], found: dict[int, EyeOutline]
) -> None:
    made = rendered[SEEDS[1]]
    middle = np.array(made.truth["eye_outline_px"]).mean(axis=0)
    eye = find_eye(made.bgr, None, (float(middle[0]), float(middle[1])))
    assert shared(made, eye) == pytest.approx(shared(made, found[SEEDS[1]]), abs=0.01)
    corner = np.array(made.truth["card_corners_px"]).mean(axis=0)
    beside = find_eye(made.bgr, None, (float(corner[0]), float(corner[1])))
    assert isinstance(beside, Refusal)
    assert "point given" in beside.given


def test_a_tap_outside_the_picture_is_answered(rendered: dict[int, Any]) -> None:
    answer = find_eye(rendered[SEEDS[1]].bgr, None, (-50.0, 5000.0))
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.NOT_A_RIB_FACE


@pytest.mark.parametrize("seed", range(50_210_000, 50_210_004))
def test_two_animals_are_refused_until_one_is_tapped(seed: int) -> None:
    made = render_face(seed, size=SIZE, want="bad:two_animals")
    assert refused(made) is Reason.TWO_FACES
    middle = np.array(made.truth["eye_outline_px"]).mean(axis=0)
    eye = find_eye(made.bgr, None, (float(middle[0]), float(middle[1])))
    assert shared(made, eye) > 0.8


@pytest.mark.parametrize("seed", range(50_220_000, 50_220_005))
def test_what_is_no_rib_face_is_refused(seed: int) -> None:
    assert refused(render_face(seed, size=SIZE, want="bad:not_a_rib_face")) is Reason.NOT_A_RIB_FACE


@pytest.mark.parametrize("value", [0, 127, 255])
def test_an_empty_picture_is_refused(value: int) -> None:
    answer = find_eye(np.full((480, 640, 3), value, np.uint8), None, None)
    assert isinstance(answer, Refusal)
    assert answer.reason is Reason.NOT_A_RIB_FACE


def test_a_card_over_the_edge_of_the_eye_is_refused(rendered: dict[int, Any]) -> None:
    made = rendered[SEEDS[2]]
    corners = np.array(made.truth["card_corners_px"])
    outline = np.array(made.truth["eye_outline_px"])
    low, top = corners.min(axis=0).astype(int), corners.max(axis=0).astype(int)
    patch = made.bgr[low[1] : top[1], low[0] : top[0]]
    mask = filled(corners - low, patch.shape[:2])
    at = (outline[0] - np.array(patch.shape[1::-1]) / 2).astype(int)
    at = np.clip(at, 0, np.array(made.bgr.shape[1::-1]) - np.array(patch.shape[1::-1]))
    covered = made.bgr.copy()
    covered[at[1] : at[1] + patch.shape[0], at[0] : at[0] + patch.shape[1]][mask] = patch[mask]
    answer = find_eye(covered, None, None)
    assert isinstance(answer, Refusal)
    assert answer.reason in (Reason.UNREADABLE, Reason.NOT_A_RIB_FACE)


def test_maps_are_likelihoods_and_lie_where_they_say(rendered: dict[int, Any]) -> None:
    made = rendered[SEEDS[3]]
    whole = look_at_whole(made.bgr)
    assert whole.maps[: len(CLASSES)].sum(axis=0) == pytest.approx(1, abs=1e-4)
    assert whole.verdict.sum() == pytest.approx(1, abs=1e-5)
    assert whole.maps[ALONG].shape == whole.maps[OUTWARD][0].shape
    outline = np.array(made.truth["eye_outline_px"])
    close = look_closer(made.bgr, outline)
    for view in (whole, close):
        there = view.to_maps(outline)
        assert np.allclose(view.px(there), outline, atol=1e-6)
        x, y = np.round(there.mean(axis=0)).astype(int)
        assert view.maps[CLASSES.index("eye"), y, x] > 0.9
