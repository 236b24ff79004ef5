"""A folder of rendered faces, and the wall between training seeds and held-back seeds."""

from __future__ import annotations

import json

import cv2
import make_set
import pytest


def test_writes_picture_truth_and_classes(tmp_path, capsys):
    given = ["--out", str(tmp_path), "--first", "50000000", "--count", "2", "--size", "320x240", "--labels"]
    assert make_set.main(given) == 0
    assert "2 pictures" in capsys.readouterr().out
    truths = sorted(tmp_path.glob("*.json"))
    assert len(truths) == 2
    for path in truths:
        truth = json.loads(path.read_text(encoding="utf-8"))
        picture = cv2.imread(str(tmp_path / truth["photo"]))
        assert picture.shape[:2] == (truth["height_px"], truth["width_px"])
        labels = cv2.imread(str(path.with_name(path.stem + "_labels.png")), cv2.IMREAD_UNCHANGED)
        assert labels.shape == picture.shape[:2]


@pytest.mark.parametrize(("first", "count"), [(-1, 2), (9_999_999, 2), (20_000_000, 1), (59_999_999, 2)])
def test_seeds_outside_their_range_are_refused(first, count):
    with pytest.raises(SystemExit, match="wanted inside"):
        make_set.check_seeds(first, count)


def test_seed_ranges_do_not_meet():
    assert make_set.TRAINING_SEEDS.stop <= make_set.HELD_BACK_SEEDS.start


def test_all_refusals_come_in_turn(tmp_path):
    given = [
        "--out",
        str(tmp_path),
        "--first",
        "50000000",
        "--count",
        "9",
        "--size",
        "320x240",
        "--want",
        "bad",
    ]
    assert make_set.main(given) == 0
    reasons = {
        json.loads(path.read_text(encoding="utf-8"))["refuse_reason"] for path in tmp_path.glob("*.json")
    }
    assert reasons == set(make_set.REASONS)


def made(tmp_path, *more):
    assert make_set.main(["--out", str(tmp_path), "--size", "320x240", *more]) == 0
    return {path.name: path.read_bytes() for path in sorted(tmp_path.iterdir())}


def test_the_same_order_gives_the_same_files(tmp_path):
    order = ("--first", "50000010", "--count", "2")
    assert made(tmp_path / "one", *order) == made(tmp_path / "two", *order)


def test_two_workers_give_what_one_gives(tmp_path):
    order = ("--first", "50000010", "--count", "2")
    assert made(tmp_path / "one", *order) == made(tmp_path / "two", *order, "--workers", "2")


def test_names_say_kind_want_and_seed(tmp_path):
    files = made(tmp_path, "--first", "50000020", "--count", "1", "--kind", "wagyu", "--want", "steak")
    assert list(files) == ["wagyu_steak_50000020.jpg", "wagyu_steak_50000020.json"]
    truth = json.loads(files["wagyu_steak_50000020.json"])
    assert (truth["kind"], truth["seed"], truth["want"]) == ("wagyu", 50_000_020, "steak")
    assert truth["photo"] == "wagyu_steak_50000020.jpg"
    assert truth["difficulty"] == "normal"


def test_every_third_picture_is_upright(tmp_path):
    files = made(tmp_path, "--first", "50000001", "--count", "6")
    truths = [json.loads(data) for name, data in files.items() if name.endswith(".json")]
    upright = {truth["seed"] for truth in truths if truth["height_px"] > truth["width_px"]}
    assert upright == {50_000_001, 50_000_004}
    assert make_set.turned((400, 300), 3) == (300, 400)
    assert make_set.turned((400, 300), 4) == (400, 300)


def test_a_refused_face_says_so_in_its_truth(tmp_path):
    files = made(tmp_path, "--first", "50000030", "--count", "1", "--want", "bad:no_card")
    truth = json.loads(next(data for name, data in files.items() if name.endswith(".json")))
    assert truth["must_refuse"] is True
    assert truth["refuse_reason"] == "no_card"
    assert truth["markers_visible"] == []
    assert truth["card_corners_px"] is None


def test_a_good_face_has_every_true_figure(tmp_path):
    files = made(tmp_path, "--first", "50000031", "--count", "1", "--kind", "grain")
    truth = json.loads(next(data for name, data in files.items() if name.endswith(".json")))
    assert truth["must_refuse"] is False
    assert 40 < truth["eye_area_cm2"] < 150
    assert truth["eye_width_cm"] < truth["eye_length_cm"] < 25
    assert 0 <= truth["fat_thickness_mm"] < 60
    assert 0 <= truth["marbling_percent"] < 60
    assert len(truth["markers_visible"]) >= 2
    assert len(truth["fat_line_px"]) == 2


@pytest.mark.parametrize("words", [["--want", "perfect"], ["--kind", "goat"], ["--difficulty", "mild"]])
def test_words_that_are_not_known(words, tmp_path, capsys):
    with pytest.raises(SystemExit) as stopped:
        make_set.main(["--out", str(tmp_path), "--first", "50000000", "--count", "1", *words])
    assert stopped.value.code == 2
    assert "invalid choice" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_written_is_an_error(tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("a file")
    with pytest.raises(OSError, match="file"):
        make_set.main(
            ["--out", str(blocked / "in"), "--first", "50000000", "--count", "1", "--size", "320x240"]
        )


@pytest.mark.parametrize(
    ("first", "count"), [(0, 1), (0, 10_000_000), (50_000_000, 10_000_000), (9_999_999, 1)]
)
def test_ranges_within_their_own_seeds_pass(first, count):
    make_set.check_seeds(first, count)
