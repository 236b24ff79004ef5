"""The reading stays where it is when the photograph changes and the face does not: sizes, light, frame, file.

Rendered faces from held-back seeds; what is true of them is what they were drawn from.
"""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from faces.render import Rendered, render_face

from gambrel.ribface.draw import draw_reading, figures
from gambrel.ribface.plane import Plane
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading
from gambrel.ribface.refuse import Reason, Refusal

pytest.importorskip("onnxruntime")
SEED = 50_000_234
Picture = np.ndarray


@pytest.fixture(scope="module")
def face() -> Rendered:
    return render_face(SEED, size=(1200, 900), difficulty="easy", kind="grain", want="good")


def got(bgr: Picture, **how: object) -> Reading:
    found = read_ribface(np.ascontiguousarray(bgr), **how)
    assert isinstance(found, Reading), found
    return found


@pytest.fixture(scope="module")
def plain(face: Rendered) -> Reading:
    return got(face.bgr)


def brighter(by: float) -> Callable[[Picture], Picture]:
    """Light times `by`, as a longer exposure does it: in linear light, then the sRGB curve again."""

    def change(bgr: Picture) -> Picture:
        value = bgr / 255.0
        light = np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4) * by
        light = np.clip(light, 0, 1)
        curved = np.where(light <= 0.0031308, 12.92 * light, 1.055 * light ** (1 / 2.4) - 0.055)
        return np.round(255 * curved).astype(np.uint8)

    return change


def warmer(bgr: Picture) -> Picture:
    """A lamp that gives less blue and more red."""
    return np.clip(bgr * np.array([0.88, 1.0, 1.05]), 0, 255).astype(np.uint8)


def as_jpeg(quality: int) -> Callable[[Picture], Picture]:
    def change(bgr: Picture) -> Picture:
        data = cv2.imencode(".jpg", bgr, [cv2.IMWRITE_JPEG_QUALITY, quality])[1]
        return np.asarray(cv2.imdecode(data, cv2.IMREAD_COLOR))

    return change


def noisy(bgr: Picture) -> Picture:
    return np.clip(bgr + np.random.default_rng(3).normal(0, 3, bgr.shape), 0, 255).astype(np.uint8)


def larger(bgr: Picture) -> Picture:
    return cv2.resize(bgr, None, fx=1.5, fy=1.5, interpolation=cv2.INTER_CUBIC)


CHANGES = {"darker": brighter(0.75), "brighter": brighter(1.08), "warmer": warmer, "jpeg 75": as_jpeg(75),
           "noise": noisy, "larger": larger}  # fmt: skip


@pytest.mark.parametrize("name", CHANGES)
def test_sizes_stay(name: str, face: Rendered, plain: Reading) -> None:
    changed = got(CHANGES[name](face.bgr))
    assert changed.ribeye_cm2 == pytest.approx(plain.ribeye_cm2, rel=0.03)
    assert changed.length_cm == pytest.approx(plain.length_cm, rel=0.03)
    assert changed.fat_mm == pytest.approx(plain.fat_mm, abs=1.5)
    assert changed.marbling_pct == pytest.approx(plain.marbling_pct, abs=2.0)


@pytest.mark.parametrize("name", ["darker", "warmer", "jpeg 75"])
def test_the_card_takes_the_lamp_out_of_the_colours(name: str, face: Rendered, plain: Reading) -> None:
    changed = got(CHANGES[name](face.bgr))
    assert np.abs(np.subtract(changed.lean_lab, plain.lean_lab)).max() < 4
    assert np.abs(np.subtract(changed.fat_lab, plain.fat_lab)).max() < 5


def test_without_the_card_a_darker_picture_is_only_a_guess(face: Rendered) -> None:
    """The same change with the card painted out: the colour is flagged, for nothing tells the lamp."""
    covered = face.bgr.copy()
    corners = np.round(face.truth["card_corners_px"]).astype(np.int32)
    cv2.fillPoly(covered, [corners], (120, 120, 120))
    assert isinstance(read_ribface(covered), Refusal)
    bare = got(covered, scale=False)
    assert any("guess" in warning for warning in bare.warnings)
    assert bare.ribeye_cm2 is None


@pytest.mark.parametrize(("left", "top"), [(64, 0), (0, 96), (40, 30)])
def test_a_wider_frame_moves_the_points_and_not_the_figures(
    left: int, top: int, face: Rendered, plain: Reading
) -> None:
    wider = cv2.copyMakeBorder(face.bgr, top, 0, left, 0, cv2.BORDER_REPLICATE)
    moved = got(wider)
    assert moved.ribeye_cm2 == pytest.approx(plain.ribeye_cm2, rel=0.03)
    shift = moved.outline_px.mean(axis=0) - plain.outline_px.mean(axis=0)
    assert np.abs(shift - (left, top)).max() < 6


def test_the_eye_moved_out_of_the_frame_is_refused(face: Rendered) -> None:
    middle = np.mean(face.truth["eye_outline_px"], axis=0)
    found = read_ribface(np.ascontiguousarray(face.bgr[: int(middle[1])]))
    assert isinstance(found, Refusal)
    assert found.reason not in (Reason.NO_CARD, Reason.BLURRED), (
        "the card and the light are as good as before"
    )


def test_a_plane_given_by_hand_is_the_one_that_counts(face: Rendered, plain: Reading) -> None:
    """1.6 times the size of a pixel is 2.56 times the area, whatever the card says."""
    one = got(face.bgr, plane=Plane.square_on(0.40), outline=plain.outline_px)
    other = got(face.bgr, plane=Plane.square_on(0.25), outline=plain.outline_px)
    assert one.ribeye_cm2 == pytest.approx(2.56 * other.ribeye_cm2, rel=1e-6)
    assert one.length_cm == pytest.approx(1.6 * other.length_cm, rel=1e-6)


def test_the_picture_given_is_left_as_it_was(face: Rendered) -> None:
    before = face.bgr.copy()
    drawn = draw_reading(face.bgr, got(face.bgr))
    assert (face.bgr == before).all()
    assert drawn.shape == before.shape and (drawn != before).any()


def test_the_words_on_the_picture_are_the_figures(plain: Reading) -> None:
    said = figures(plain)
    assert said[0].startswith(f"ribeye {plain.ribeye_cm2:.1f} cm2")
    assert f"fat {plain.fat_mm:.1f} mm" in said[2]
    assert f"marbling {plain.marbling_pct:.1f} %" in said[3]
    assert said[-1].endswith("not an official grade")


KINDS = [("bison", 50_000_231), ("grass", 50_000_209), ("grain", 50_000_240), ("wagyu", 50_000_219)]


@pytest.mark.parametrize(("kind", "seed"), KINDS, ids=[kind for kind, _ in KINDS])
def test_each_of_the_four_kinds(kind: str, seed: int) -> None:
    made = render_face(seed, size=(1600, 1200), difficulty="easy", kind=kind, want="good")
    found = got(made.bgr)
    assert found.ribeye_cm2 == pytest.approx(made.truth["eye_area_cm2"], rel=0.06)
    assert found.fat_mm == pytest.approx(made.truth["fat_thickness_mm"], abs=2.5)
    assert found.marbling_pct == pytest.approx(made.truth["marbling_percent"], abs=3.0)
    low, high = found.ribeye_cm2_interval
    assert low < found.ribeye_cm2 < high


@pytest.mark.parametrize("reason", ["no_card", "card_hidden", "card_tilted", "eye_cut_off", "blurred", "too_dark",
                                    "blown_out", "not_a_rib_face", "two_animals"])  # fmt: skip
def test_no_bad_face_is_read(reason: str) -> None:
    """Refused for whichever of its faults is met first, and never with a figure."""
    for seed in (50_002_000, 50_002_001):
        made = render_face(seed, size=(1200, 900), want=f"bad:{reason}")
        assert made.truth["must_refuse"] is True
        found = read_ribface(made.bgr)
        assert isinstance(found, Refusal), f"{reason} of seed {seed} was read"
        assert found.given and found.sentence().endswith(found.reason.do)


def test_fat_alone_is_left_out_where_its_surface_is_not_seen_at_the_place() -> None:
    """The cover of this face runs out of what is seen before three-quarters of the eye's length."""
    made = render_face(50_000_227, size=(1600, 1200), difficulty="easy", kind="wagyu", want="good")
    found = got(made.bgr)
    assert found.fat_mm is None and found.fat_mm_interval is None
    assert any("fat is not measured" in said for said in found.warnings)
    assert found.ribeye_cm2 == pytest.approx(made.truth["eye_area_cm2"], rel=0.06)
