"""The gallery's own drawing: right places, right colours, right sizes. The page itself is tried with the guide."""

from __future__ import annotations

import io
import json
from pathlib import Path

import cv2
import gallery
import gallery_stages as stages
import gallery_words as words
import numpy as np
import pytest
from PIL import Image
from render import REASONS, render_face

from gambrel.ribface.network import CLASSES
from gambrel.ribface.plane import Plane, find_card
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading


@pytest.fixture(scope="module")
def face() -> np.ndarray:
    return render_face(
        gallery.EXAMPLE_SEED, size=(1200, 900), difficulty="easy", kind="grain", want="good"
    ).bgr


@pytest.fixture(scope="module")
def reading(face: np.ndarray) -> Reading:
    found = read_ribface(face)
    assert isinstance(found, Reading), found
    return found


@pytest.fixture(scope="module")
def pictures(face: np.ndarray, reading: Reading) -> dict[str, np.ndarray]:
    return dict(stages.stages(face, reading))


def test_every_stage_has_words_and_a_picture(pictures: dict[str, np.ndarray]) -> None:
    assert [*pictures, "finished"] == list(words.STAGES)
    assert all(picture.dtype == np.uint8 and picture.ndim == 3 for picture in pictures.values())
    assert all(title and told.endswith(".") for title, told in words.STAGES.values())


def test_every_fault_of_the_renderer_has_its_words() -> None:
    assert set(words.WRONG) == set(REASONS)
    reasons = [reason for _, reason, _ in words.WRONG.values()]
    assert len(set(reasons)) == len(reasons)


def test_the_photograph_itself_is_not_drawn_on(pictures: dict[str, np.ndarray], face: np.ndarray) -> None:
    assert (pictures["photograph"] == face).all()
    again = render_face(gallery.EXAMPLE_SEED, size=(1200, 900), difficulty="easy", kind="grain", want="good")
    assert (face == again.bgr).all()


@pytest.mark.parametrize(
    ("linear", "value"), [(0.0, 0), (1.0, 255), (0.21586, 128), (0.001, 3), (7.0, 255), (-1.0, 0)]
)
def test_light_to_picture_values(linear: float, value: int) -> None:
    """IEC 61966-2-1:1999: 128 is 0.2159 of the light; the foot is straight, 12.92 times."""
    assert stages.to_srgb(np.full((1, 1, 3), linear, np.float32))[0, 0].tolist() == [value] * 3


def test_the_net_over_the_card_is_in_centimetres(face: np.ndarray, reading: Reading) -> None:
    card = find_card(face)
    drawn = stages.with_plane(face, card, reading)
    outline = card.plane.to_mm(reading.outline_px)
    changed = np.abs(drawn.astype(int) - face).max(axis=2) > 12
    middle = np.round(outline.mean(axis=0) / 10) * 10
    crossings = card.plane.to_px(middle + np.array([[0, 0], [10, 0], [0, 10], [-10, 10]]))
    for x, y in crossings.round().astype(int):
        assert changed[y - 1 : y + 2, x - 1 : x + 2].any()
    inside = card.plane.to_px(middle + np.array([[5.0, 5], [-5, 5]]))
    for x, y in inside.round().astype(int):
        assert not changed[y, x], "half-way between the lines nothing is drawn"


def test_the_window_is_as_large_as_it_should_be(face: np.ndarray) -> None:
    plane = Plane.square_on(0.25)
    box = np.array([[50.0, 40], [150, 40], [150, 100], [50, 100]])
    corner, seen = stages.square_on(face, plane, box)
    assert corner.tolist() == [50 - stages.AROUND_MM, 40 - stages.AROUND_MM]
    wide = (100 + 2 * stages.AROUND_MM) * stages.PX_PER_MM
    high = (60 + 2 * stages.AROUND_MM) * stages.PX_PER_MM
    assert seen.shape == (high, wide, 3)
    assert stages.to_window(box[:1], corner).tolist() == [[stages.AROUND_MM * stages.PX_PER_MM] * 2]


def test_the_class_map_holds_only_the_colours_named(pictures: dict[str, np.ndarray]) -> None:
    both = pictures["network"]
    painted = both[:, both.shape[1] // 2 :].reshape(-1, 3)
    named = {tuple(colour) for colour in stages.CLASS_BGR.values()}
    assert {tuple(colour) for colour in np.unique(painted, axis=0).tolist()} <= named
    eye = (painted == stages.CLASS_BGR["eye"]).all(axis=1).mean()
    assert 0.15 < eye < 0.6
    assert tuple(stages.CLASS_BGR) == CLASSES


def test_the_fat_line_is_drawn_where_it_was_read(face: np.ndarray, reading: Reading) -> None:
    plane = find_card(face).plane
    corner, square = stages.square_on(face, plane, plane.to_mm(reading.outline_px))
    drawn = stages.with_fat_line(np.full_like(square, 90), plane, reading, corner)
    green = (drawn == stages.FAT).all(axis=2)
    ys, xs = np.nonzero(green)
    ends = stages.to_window(plane.to_mm(reading.fat_line_px), corner)
    assert np.abs(np.array([xs.mean(), ys.mean()]) - ends.mean(axis=0)).max() < 3
    long = np.hypot(np.ptp(xs), np.ptp(ys)) / stages.PX_PER_MM
    assert long == pytest.approx(reading.fat_mm, abs=2.5), "the line's own width is drawn too"
    red = (drawn == (0, 0, 255)).all(axis=2).astype(np.uint8)
    assert cv2.connectedComponents(red)[0] - 1 == 3, "three dots quarter the length"


def test_yellow_is_the_share_that_was_read(pictures: dict[str, np.ndarray], reading: Reading) -> None:
    both = pictures["marbling"]
    map_ = both[both.shape[0] // 2 :].astype(int)
    yellow = (map_[..., 2] - map_[..., 0] > 60) & (map_[..., 1] - map_[..., 0] > 60)
    outside = (map_ == 60).all(axis=2)
    share = 100 * yellow.sum() / (~outside).sum()
    assert share == pytest.approx(reading.marbling_pct, abs=1.5)


@pytest.mark.parametrize(
    ("size", "wanted"), [((300, 200), (300, 200)), ((1800, 600), (900, 300)), ((1000, 1400), (500, 700))]
)
def test_pictures_are_made_to_fit(size: tuple[int, int], wanted: tuple[int, int]) -> None:
    small = stages.fitted(np.zeros((size[1], size[0], 3), np.uint8))
    assert (small.shape[1], small.shape[0]) == wanted


def test_a_busy_picture_is_saved_lighter_not_larger(tmp_path: Path) -> None:
    busy = np.random.default_rng(1).integers(90, 160, (500, 700, 3), dtype=np.uint8)
    gallery.keep(busy, tmp_path / "busy.jpg")
    data = (tmp_path / "busy.jpg").read_bytes()
    assert len(data) <= gallery.MOST_BYTES
    assert Image.open(io.BytesIO(data)).size == (700, 500)


def test_what_cannot_be_made_light_is_said(tmp_path: Path) -> None:
    wild = np.random.default_rng(1).integers(0, 256, (700, 900, 3), dtype=np.uint8)
    with pytest.raises(ValueError, match="does not fit"):
        gallery.keep(wild, tmp_path / "wild.jpg")
    assert list(tmp_path.iterdir()) == []


def test_the_program_is_asked_and_its_answer_kept(face: np.ndarray, tmp_path: Path) -> None:
    answer = gallery.ask(face, tmp_path)
    assert answer.said["refused"] is False
    assert answer.drawn is not None and answer.drawn.shape == face.shape
    refused = gallery.ask(np.full((300, 400, 3), 128, np.uint8), tmp_path)
    assert refused.said["refused"] is True
    assert refused.drawn is None, "the picture of the one before is not shown"


def test_a_fault_is_shown_only_with_its_own_sentence(tmp_path: Path) -> None:
    title, reason, _ = words.WRONG["no_card"]
    picture, sentence = gallery.wrong_answer("no_card", reason, tmp_path)
    assert title == "No card"
    assert sentence.startswith(reason.sentence) and sentence.endswith(reason.do)
    assert picture.shape == (gallery.SIZE[1], gallery.SIZE[0], 3)
    assert json.dumps(sentence)
