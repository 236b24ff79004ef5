"""The network's finder on rendered faces from held-back seeds: outline, hints, taps and what it refuses."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import cv2
import numpy as np
import pytest
from faces.render import render_face

from gambrel.ribface import outline_net
from gambrel.ribface.network import (
    ALONG,
    CLASSES,
    FINER_WHOLE_PX,
    OUTWARD,
    WHOLE_PX,
    WIDE_SPAN,
    View,
    look_at_whole,
    look_closer,
)
from gambrel.ribface.outline import EyeOutline, check_outline, filled, overlap
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


@pytest.mark.parametrize("depth", [0.04, 0.12, 0.4])
@pytest.mark.parametrize("side", ["left", "right", "top", "bottom"])
def test_an_eye_cut_by_the_frame_is_refused(
    rendered: dict[int, Any], found: dict[int, EyeOutline], side: str, depth: float
) -> None:
    """The picture cropped so that a part of the eye's extent lies outside, by a sliver or by much."""
    made = rendered[SEEDS[4]]
    outline = np.array(made.truth["eye_outline_px"])
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    left, right = round(x0 + depth * (x1 - x0)), round(x1 - depth * (x1 - x0))
    top, bottom = round(y0 + depth * (y1 - y0)), round(y1 - depth * (y1 - y0))
    part = {
        "left": made.bgr[:, left:], "right": made.bgr[:, :right], "top": made.bgr[top:], "bottom": made.bgr[:bottom]
    }[side]  # fmt: skip
    answer = find_eye(np.ascontiguousarray(part), None, None)
    cut = isinstance(answer, Refusal) or check_outline(answer, part.shape, None) is not None
    assert cut


def test_a_missed_eye_is_looked_for_again_finer(
    rendered: dict[int, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    made = rendered[SEEDS[0]]
    sizes: list[int] = []

    def blind_at_first(bgr: Any, side_px: int = WHOLE_PX) -> Any:
        sizes.append(side_px)
        return look_at_whole(bgr if side_px == FINER_WHOLE_PX else np.full_like(bgr, 127), side_px)

    monkeypatch.setattr(outline_net, "look_at_whole", blind_at_first)
    monkeypatch.setattr(outline_net, "SURELY_NO_FACE", 1.1)
    assert shared(made, find_eye(made.bgr, None, None)) > 0.9
    assert sizes == [WHOLE_PX, FINER_WHOLE_PX]


def test_a_sure_no_is_not_asked_again(monkeypatch: pytest.MonkeyPatch) -> None:
    sizes: list[int] = []

    def counting(bgr: Any, side_px: int = WHOLE_PX) -> Any:
        sizes.append(side_px)
        return look_at_whole(bgr, side_px)

    monkeypatch.setattr(outline_net, "look_at_whole", counting)
    monkeypatch.setattr(outline_net, "SURELY_NO_FACE", 0.0)
    assert isinstance(find_eye(np.full((480, 640, 3), 127, np.uint8), None, None), Refusal)
    assert sizes == [WHOLE_PX]


def box(points: np.ndarray) -> np.ndarray:
    return np.concatenate([points.min(axis=0), points.max(axis=0)])


@pytest.mark.parametrize("part", ["left", "right", "top", "bottom"])
def test_an_eye_of_which_the_first_look_saw_a_part_is_looked_at_again(
    rendered: dict[int, Any], found: dict[int, EyeOutline], monkeypatch: pytest.MonkeyPatch, part: str
) -> None:
    """Aimed at two thirds of the eye alone, the close look moves until the whole eye is in view."""
    made, looks = rendered[SEEDS[0]], []
    outline = np.array(made.truth["eye_outline_px"])
    way = {"left": (-1, 0), "right": (1, 0), "top": (0, -1), "bottom": (0, 1)}[part]
    along = outline @ np.array(way)
    seen = outline[along > along.min() + np.ptp(along) / 3]

    def counting(bgr: Any, eye_px: Any, *span: float) -> Any:
        looks.append(eye_px)
        return look_closer(bgr, eye_px, *span)

    monkeypatch.setattr(outline_net, "look_closer", counting)
    _, polygon, sure = outline_net._look_until_centred(made.bgr, seen, None)
    assert polygon is not None and sure > 0.9
    assert 2 <= len(looks) <= outline_net.MOST_LOOKS
    assert box(looks[-1]) == pytest.approx(box(outline), abs=0.1 * np.ptp(outline, axis=0).max())
    monkeypatch.setattr(outline_net, "_pick_eye", lambda view, seed: view.to_maps(seen))
    again = shared(made, find_eye(made.bgr, None, None))
    assert again == pytest.approx(shared(made, found[SEEDS[0]]), abs=0.03)


def test_an_eye_in_the_middle_of_its_look_is_not_looked_at_again(
    rendered: dict[int, Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    made, looks = rendered[SEEDS[0]], []

    def counting(bgr: Any, eye_px: Any, *span: float) -> Any:
        looks.append(eye_px)
        return look_closer(bgr, eye_px, *span)

    monkeypatch.setattr(outline_net, "look_closer", counting)
    outline_net._look_until_centred(made.bgr, np.array(made.truth["eye_outline_px"]), None)
    assert len(looks) == 1


SQUARE = np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 60.0], [0.0, 60.0]])


@pytest.mark.parametrize(
    ("shift", "factor", "share"),
    [((0, 0), 1.0, 0.0), ((10, 0), 1.0, 0.1), ((0, -10), 1.0, 0.1), ((0, 0), 1.25, 0.25), ((0, 0), 0.8, 0.2)],
)
def test_how_far_a_box_moved_or_grew(shift: tuple[float, float], factor: float, share: float) -> None:
    """A box of 100 by 60: by 10 is a tenth of its longer side; a quarter larger is a quarter, whatever its middle."""
    middle = SQUARE.mean(axis=0)
    after = middle + (SQUARE - middle) * factor + np.array(shift)
    assert outline_net._moved_share(SQUARE, after) == pytest.approx(share)


def turned_about(view: View) -> View:
    """The view with chine and far end the other way about."""
    maps = view.maps.copy()
    maps[ALONG] = 1 - maps[ALONG]
    return replace(view, maps=maps)


@pytest.mark.parametrize("whole_errs", [False, True])
@pytest.mark.parametrize("before", ["none", "right", "wrong"])
def test_where_nothing_bears_out_the_chine_seen_close_up_a_wider_look_decides(
    rendered: dict[int, Any],
    found: dict[int, EyeOutline],
    monkeypatch: pytest.MonkeyPatch,
    whole_errs: bool,
    before: str,
) -> None:
    """Neither the look from afar nor the close one before the last; where either does there is no wider look."""
    made = rendered[SEEDS[0]]
    outline = found[SEEDS[0]].polygon_px
    whole, close = look_at_whole(made.bgr), look_closer(made.bgr, outline)
    earlier = {"none": [], "right": [close], "wrong": [turned_about(close)]}[before]
    spans: list[float] = []

    def counting(bgr: Any, eye_px: Any, span_share: float) -> View:
        spans.append(span_share)
        return look_closer(bgr, eye_px, span_share)

    monkeypatch.setattr(outline_net, "look_closer", counting)
    looks = [*earlier, close]
    hints = outline_net._hints_of_all(made.bgr, turned_about(whole) if whole_errs else whole, looks, outline)
    assert spans == ([WIDE_SPAN] if whole_errs and before != "right" else [])
    chine, tail = np.array(made.truth["long_axis_px"])
    assert float(hints.to_chine_px @ (chine - tail)) > 0
    assert hints.view is close


def test_doubt_is_the_width_of_the_rim() -> None:
    """A square of 40 by 40 surely eye in a rim of 3 pixels half likely: 46 * 46 - 40 * 40 over its side."""
    maps = np.zeros((ALONG + 3, 100, 100), np.float32)
    maps[CLASSES.index("eye"), 27:73, 27:73] = 0.5
    maps[CLASSES.index("eye"), 30:70, 30:70] = 1.0
    view = View(maps, np.zeros(4, np.float32), np.eye(2, 3))
    assert outline_net._doubt(view) == pytest.approx((46**2 - 40**2) / 40)
    maps[CLASSES.index("eye")] = 0.0
    assert outline_net._doubt(view) == 0.0


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
