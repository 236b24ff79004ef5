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
