"""What holds over many rendered faces: the four kinds differ as they should, and no two seeds look alike."""

from __future__ import annotations

import gallery
import make_set
import mangled
import numpy as np
import pytest
from render import CLASSES, render_face

KINDS = ("bison", "grass", "grain", "wagyu")
SIZE = (320, 240)
SEEDS = range(50_003_000, 50_003_012)


@pytest.fixture(scope="module")
def faces():
    return {
        kind: [render_face(seed, size=SIZE, kind=kind, want="good", difficulty="easy") for seed in SEEDS]
        for kind in KINDS
    }


def mean_of(faces, kind, name):
    return float(np.mean([face.truth[name] for face in faces[kind]]))


def test_marbling_rises_from_bison_to_wagyu(faces):
    shares = [mean_of(faces, kind, "marbling_percent") for kind in KINDS]
    assert shares == sorted(shares)
    assert shares[0] < 3 < 10 < shares[3]


def test_bison_has_the_smallest_eye_and_wagyu_the_thickest_fat(faces):
    areas = {kind: mean_of(faces, kind, "eye_area_cm2") for kind in KINDS}
    fats = {kind: mean_of(faces, kind, "fat_thickness_mm") for kind in KINDS}
    assert min(areas, key=areas.get) == "bison"
    assert max(fats, key=fats.get) == "wagyu"
    assert all(40 < area < 130 for area in areas.values())


def test_every_figure_of_every_face_is_possible(faces):
    for kind in KINDS:
        for face in faces[kind]:
            truth = face.truth
            assert truth["kind"] == kind
            assert 0 < truth["eye_width_cm"] <= truth["eye_length_cm"]
            box = truth["eye_width_cm"] * truth["eye_length_cm"]
            assert 0.55 * box < truth["eye_area_cm2"] < box, "an eye fills most of the box about it"
            assert 0 <= truth["marbling_percent"] < 60
            assert np.isfinite(truth["eye_outline_px"]).all()


def test_every_pixel_has_a_class_that_is_named(faces):
    for kind in KINDS:
        for face in faces[kind]:
            assert face.labels.max() < len(CLASSES)
            assert (face.labels == CLASSES.index("eye")).any()
            assert (face.labels == CLASSES.index("fat")).any()


def test_no_two_seeds_give_the_same_face(faces):
    areas = [face.truth["eye_area_cm2"] for kind in KINDS for face in faces[kind]]
    assert len(set(areas)) == len(areas)


@pytest.mark.parametrize("kind", KINDS)
def test_lean_is_red_and_fat_is_light(kind, faces):
    for face in faces[kind]:
        lightness, redness, _ = face.truth["lean_lab"]
        assert redness > 3
        assert face.truth["fat_lab"][0] > lightness


def test_what_is_shown_and_tried_was_held_back_from_training():
    seeds = [gallery.STAGE_SEED, gallery.EXAMPLE_SEED, gallery.FIRST_WRONG_SEED, mangled.FACE_SEED]
    seeds += [*gallery.KIND_SEEDS.values(), *SEEDS, gallery.FIRST_WRONG_SEED + gallery.TRIES]
    assert all(seed in make_set.HELD_BACK_SEEDS for seed in seeds)
    assert set(gallery.KIND_SEEDS) == set(KINDS)
