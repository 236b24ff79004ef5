"""Against photographs and rendered faces made by others, where they are at hand; figures are not the code's own."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from faces.evaluate import evaluate

from gambrel.ribface.light import srgb_to_linear
from gambrel.ribface.marbling import Marbling, measure_marbling
from gambrel.ribface.outline import EyeOutline, filled, overlap
from gambrel.ribface.outline_classic import find_eye_classic
from gambrel.ribface.outline_net import find_eye
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading

PATCH_MM = 40.0
"""Height a close crop is taken to show; the crops carry no scale."""


def patch_marbling(path: Path) -> Marbling:
    bgr = cv2.imread(str(path))
    assert bgr is not None
    linear = srgb_to_linear(bgr.astype(float)).astype(np.float32)
    found = measure_marbling(
        linear, np.ones(bgr.shape[:2], bool), px_per_mm=max(2.0, bgr.shape[0] / PATCH_MM), balanced=False
    )
    assert found is not None
    return found


def ranks(values: list[float]) -> np.ndarray:
    order = np.array(values)
    return np.array([(order < v).sum() + ((order == v).sum() - 1) / 2 for v in order])


def test_marbling_follows_the_level_of_the_crops(photos: Path) -> None:
    paths = sorted((photos / "patches").glob("patch_L*.jpg"))
    shares = [patch_marbling(path).share_pct for path in paths]
    levels = [float(path.stem.split("_")[1][1:]) for path in paths]
    assert np.corrcoef(ranks(shares), ranks(levels))[0, 1] >= 0.75


def test_labelled_points_of_fat_and_lean_are_told_apart(photos: Path) -> None:
    right = total = 0
    for path in sorted((photos / "patches").glob("*_points.png")):
        points = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
        assert points is not None
        fat = patch_marbling(path.with_name(path.name.replace("_points.png", ".jpg"))).fat
        right += int(fat[points == 255].sum()) + int((~fat[points == 128]).sum())
        total += int(np.isin(points, (255, 128)).sum())
    assert right >= 0.95 * total


@pytest.mark.parametrize("name", ["ribface_02", "standard_small"])
def test_the_outline_is_that_traced_by_hand(photos: Path, name: str) -> None:
    """Overlap of at least 0.94; the masks themselves are good to about 3 % of the area."""
    bgr = cv2.imread(str(photos / f"{name}.png"))
    traced = cv2.imread(str(photos / f"{name}_eye_traced.png"), cv2.IMREAD_GRAYSCALE)
    assert bgr is not None and traced is not None
    eye = find_eye(np.asarray(bgr, np.uint8), None, None)
    assert isinstance(eye, EyeOutline), eye
    assert overlap(traced > 127, filled(eye.polygon_px, traced.shape)) >= 0.94


def test_steaks_are_read_and_the_one_without_an_eye_is_not(photos: Path) -> None:
    read = {}
    for path in sorted([*photos.glob("steak_*"), *photos.glob("ribcut_*")]):
        bgr = cv2.imread(str(path))
        read[path.stem] = isinstance(find_eye(np.asarray(bgr, np.uint8), None, None), EyeOutline)
    assert not read.pop("steak_select_03")
    assert all(read.values()), read


def test_degrees_keep_their_order(photos: Path) -> None:
    shares = []
    for name in ("standard_small", "standard_modest", "standard_slightly_abundant"):
        bgr = cv2.imread(str(photos / f"{name}.png"))
        reading = read_ribface(np.asarray(bgr, np.uint8), scale=False)
        assert isinstance(reading, Reading), reading
        shares.append(reading.marbling_pct)
    assert shares == sorted(shares)


@pytest.mark.parametrize("number", range(0, 15, 4))
def test_measures_of_a_rendered_face_with_its_own_outline(photos: Path, number: int) -> None:
    path = sorted((photos / "rendered").glob("*.json"))[number]
    row = evaluate(path, finder=find_eye_classic, true_outline=True, true_chine=False)
    assert row.refused is None
    assert row.area_cm2 is not None and row.fat_mm is not None and row.marbling_pct is not None
    assert row.area_cm2[1] == pytest.approx(row.area_cm2[0], rel=0.01)
    assert row.fat_mm[1] == pytest.approx(row.fat_mm[0], abs=1.2)  # a pixel of the finder's map is 1.3 mm
    assert row.marbling_pct[1] == pytest.approx(
        row.marbling_pct[0], abs=2.2 if row.marbling_pct[0] < 15 else 5
    )
    assert row.chine_right


def test_length_and_width_of_a_rendered_face(photos: Path) -> None:
    path = sorted((photos / "rendered").glob("*.json"))[2]
    truth = json.loads(path.read_text())
    bgr = cv2.imread(str(path.with_suffix(".jpg")))
    reading = read_ribface(np.asarray(bgr, np.uint8), outline=np.array(truth["eye_outline_px_upright"]))
    assert isinstance(reading, Reading)
    assert reading.length_cm == pytest.approx(truth["eye_length_cm"], rel=0.01)
    assert reading.width_cm == pytest.approx(truth["eye_width_cm"], rel=0.01)
