"""Rendered faces: the same seed gives the same picture, and the truth agrees with what was painted."""

from __future__ import annotations

import json

import cv2
import numpy as np
import pytest
from render import CLASSES, REASONS, render_face

SMALL = (448, 336)
MIDDLE = (1200, 900)
SEEDS = range(50_000_000, 50_000_006)
MARKER_MIDDLES_MM = {10: (12, 12), 11: (93, 12), 12: (93, 62), 13: (12, 62)}  # the guide's layout of the card


@pytest.fixture(scope="module")
def good():
    return [render_face(seed, size=MIDDLE, want="good", fat_map=True) for seed in SEEDS]


def shoelace(outline):
    x, y = np.asarray(outline, float).T
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def to_face_mm(points_px, truth):
    """Undo the lens by iteration and the homography by its inverse: not the renderer's own way back."""
    camera = truth["camera"]
    centre = np.array([(truth["width_px"] - 1) / 2, (truth["height_px"] - 1) / 2])
    seen = (np.asarray(points_px, float) - centre) / camera["focal_px"]
    ideal = seen.copy()
    for _ in range(20):
        ideal = seen / (1 + camera["k1"] * (ideal**2).sum(axis=1, keepdims=True))
    px = (centre + camera["focal_px"] * ideal)[None]
    return cv2.perspectiveTransform(px, np.linalg.inv(np.array(camera["homography_mm_to_px"])))[0]


@pytest.mark.parametrize("want", ["mixed", "good", "steak", "bad:two_animals"])
def test_the_same_seed_gives_the_same_bytes(want):
    first, again = (render_face(4711, size=SMALL, want=want, fat_map=True) for _ in range(2))
    assert first.bgr.tobytes() == again.bgr.tobytes()
    assert first.labels.tobytes() == again.labels.tobytes()
    assert first.fat_map.tobytes() == again.fat_map.tobytes()
    assert first.truth == again.truth


def test_another_seed_gives_another_picture():
    assert render_face(1, want="good").bgr.tobytes() != render_face(2, want="good").bgr.tobytes()


def test_anatomy_stays_when_the_size_of_the_picture_changes():
    small, large = (render_face(77, size=size, want="good").truth for size in ((448, 336), (896, 672)))
    for name in ("eye_area_cm2", "eye_length_cm", "eye_width_cm", "fat_thickness_mm", "kind", "side"):
        assert small[name] == large[name]


def test_shapes_and_types(good):
    for made in good:
        assert made.bgr.shape == (MIDDLE[1], MIDDLE[0], 3)
        assert made.bgr.dtype == made.labels.dtype == np.uint8
        assert made.labels.shape == made.fat_map.shape == (MIDDLE[1], MIDDLE[0])
        assert made.labels.max() < len(CLASSES)
        json.dumps(made.truth)


def test_outline_holds_the_labelled_eye(good):
    for made in good:
        outline = shoelace(made.truth["eye_outline_px"])
        assert (made.labels == CLASSES.index("eye")).sum() == pytest.approx(outline, rel=0.003)


def test_labels_follow_the_outline_to_a_third_of_a_pixel(good):
    for made in good:
        mask = np.asarray(made.labels == CLASSES.index("eye"), np.uint8)
        found, _ = cv2.findContours(mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        edge = max(found, key=len).reshape(-1, 2)
        outline = np.asarray(made.truth["eye_outline_px"], np.float32)
        inside = [cv2.pointPolygonTest(outline, (float(x), float(y)), True) for x, y in edge[::5]]
        # the outermost pixel centres of the mask lie 0 to 1 px inside the true line, 0.5 on average
        assert np.mean(inside) == pytest.approx(0.45, abs=0.3)
        assert np.percentile(np.abs(inside), 98) < 1.2


def test_area_in_cm2_through_the_camera(good):
    for made in good:
        flat = to_face_mm(made.truth["eye_outline_px"], made.truth)
        assert shoelace(flat) / 100 == pytest.approx(made.truth["eye_area_cm2"], rel=1e-4)


def test_length_and_fat_in_mm_through_the_camera(good):
    for made in good:
        ends = to_face_mm(made.truth["long_axis_px"], made.truth)
        assert np.hypot(*(ends[0] - ends[1])) / 10 == pytest.approx(made.truth["eye_length_cm"], rel=1e-3)
        line = to_face_mm(made.truth["fat_line_px"], made.truth)
        assert np.hypot(*(line[0] - line[1])) == pytest.approx(made.truth["fat_thickness_mm"], abs=0.02)


def test_fat_line_runs_from_the_outside_to_the_eye(good):
    for made in good:
        outline = np.asarray(made.truth["eye_outline_px"], np.float32)
        outer, inner = made.truth["fat_line_px"]
        assert abs(cv2.pointPolygonTest(outline, tuple(inner), True)) < 1.0
        assert cv2.pointPolygonTest(outline, tuple(outer), True) < 0


def test_card_is_as_long_as_it_should_be(good):
    for made in good:
        corners = to_face_mm(made.truth["card_corners_px"], made.truth)
        sides = [np.hypot(*(corners[k] - corners[(k + 1) % 4])) for k in range(4)]
        assert sides == pytest.approx([105, 74, 105, 74], abs=0.02)


def test_marbling_truth_is_the_mean_of_the_map(good):
    for made in good:
        area = shoelace(made.truth["eye_outline_px"])
        assert 100 * made.fat_map.sum() / area == pytest.approx(made.truth["marbling_percent"], abs=0.5)


def test_card_is_read_by_the_standard_detector(good):
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50))
    read = 0
    for made in good:
        corners, numbers, _ = detector.detectMarkers(made.bgr)
        seen = {} if numbers is None else dict(zip(numbers.ravel().tolist(), corners, strict=True))
        read += len(seen.keys() & {10, 11, 12, 13}) >= 2
        card = np.array([[0, 0], [105, 0], [105, 74], [0, 74]], np.float32)
        to_px = cv2.getPerspectiveTransform(card, np.asarray(made.truth["card_corners_px"], np.float32))
        for number in seen.keys() & set(MARKER_MIDDLES_MM):
            middle = cv2.perspectiveTransform(np.array([[MARKER_MIDDLES_MM[number]]], np.float64), to_px)[
                0, 0
            ]
            assert seen[number].reshape(4, 2).mean(axis=0) == pytest.approx(middle, abs=1.5)
    assert read >= len(good) - 1


@pytest.mark.parametrize("reason", REASONS)
def test_every_refusal_can_be_rendered(reason):
    truth = render_face(50_000_100, size=SMALL, want=f"bad:{reason}").truth
    assert truth["must_refuse"]
    assert truth["refuse_reason"] == reason


def test_a_cut_off_eye_touches_the_frame():
    for seed in range(5):
        made = render_face(seed, size=SMALL, want="bad:eye_cut_off")
        eye = made.labels == CLASSES.index("eye")
        assert (eye[0] | eye[-1]).any() or (eye[:, 0] | eye[:, -1]).any()


def test_what_is_no_rib_face_has_no_eye():
    for seed in range(5):
        made = render_face(seed, size=SMALL, want="bad:not_a_rib_face")
        assert not (made.labels == CLASSES.index("eye")).any()
        assert "eye_outline_px" not in made.truth


def test_a_hidden_card_shows_less_than_two_markers():
    for seed in range(4):
        assert len(render_face(seed, size=SMALL, want="bad:card_hidden").truth["markers_visible"]) < 2


def test_good_pictures_show_the_whole_eye_and_two_markers():
    for seed in range(50_000_200, 50_000_212):
        made = render_face(seed, size=SMALL, want="good")
        assert not made.truth["must_refuse"]
        assert len(made.truth["markers_visible"]) >= 2
        outline = shoelace(made.truth["eye_outline_px"])
        assert (made.labels == CLASSES.index("eye")).sum() == pytest.approx(outline, rel=0.03)


def test_an_unknown_want_is_refused():
    with pytest.raises(ValueError, match="want is 'nice'"):
        render_face(1, want="nice")
