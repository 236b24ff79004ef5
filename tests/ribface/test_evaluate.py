"""The table of errors counts what was measured, and nothing else."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import cv2
import numpy as np
import pytest
from faces.evaluate import Row, evaluate, report

from gambrel.ribface.outline_classic import find_eye_classic

ROW = Row(
    photo="grain_good_50000001",
    kind="grain",
    refused=None,
    must_refuse=False,
    area_cm2=(80.0, 82.0),
    fat_mm=(10.0, 9.0),
    marbling_pct=(6.0, 7.0),
    iou=0.98,
    lean_lab_gap=(1.0, 0.0, 0.0),
    fat_lab_gap=(0.0, 1.0, 0.0),
    held=(True, True, False),
    chine_right=True,
    decode_s=0.02,
    read_s=0.04,
    times_s={"card": 0.01},
)
NO_FAT = replace(ROW, fat_mm=None, held=(True, None, True), chine_right=None)
WRONG_END = replace(ROW, fat_mm=(10.0, 13.0), held=(True, False, True), chine_right=False)


def line(said: str, start: str) -> str:
    return next(each for each in said.splitlines() if each.startswith(start))


def test_a_picture_without_a_fat_line_is_neither_a_right_end_nor_a_wrong_one() -> None:
    said = report([ROW, NO_FAT, WRONG_END, ROW])
    assert line(said, "chine end right") == "chine end right: 66.7% of 3"


def test_an_interval_that_was_not_given_neither_holds_nor_fails() -> None:
    said = report([ROW, NO_FAT, WRONG_END, ROW])
    assert line(said, "intervals hold") == (
        "intervals hold: area 100.0% of 4, fat 66.7% of 3, marbling 50.0% of 4"
    )


def test_fat_that_was_not_measured_is_counted_as_such() -> None:
    said = report([ROW, NO_FAT, WRONG_END, ROW])
    assert line(said, "fat:") == "fat: MAE 1.67 mm, bias +0.33, measured 3 of 4"


def test_errors_of_area_and_marbling_are_worked_by_hand() -> None:
    """Area 2 cm2 of 80 too large each time: 2.5 %, RMSE 2; marbling one point of 6."""
    said = report([ROW, ROW])
    assert "median error 2.50 %" in said and "RMSE 2.00 cm2" in said
    assert line(said, "marbling:") == "marbling: MAE below 15 % 1.00, above nan points"


def test_refused_and_read_are_counted_apart() -> None:
    refused = Row("bison_bad", "bison", "no card", must_refuse=True, why="no_card")
    missed = Row("bison_missed", "bison", None, must_refuse=True, why="too_dark")
    said = report([ROW, refused, missed, Row("grain_lost", "grain", "no card", must_refuse=False)])
    assert "read 1 of 2 good; refused 1 of 2 bad" in said
    assert "  no_card: 1 of 1" in said and "  too_dark: 0 of 1" in said
    assert "READ, though to be refused: too_dark" in said


def test_nothing_measured_at_all_is_said_and_not_divided_by() -> None:
    said = report([NO_FAT])
    assert line(said, "chine end right") == "chine end right: none"


def test_a_picture_without_a_card_is_a_row_with_its_refusal(tmp_path: Path) -> None:
    truth = {"kind": "grain", "must_refuse": True, "refuse_reason": "no_card"}
    (tmp_path / "face.json").write_text(json.dumps(truth))
    cv2.imwrite(str(tmp_path / "face.jpg"), np.full((300, 400, 3), 120, np.uint8))
    row = evaluate(tmp_path / "face.json", finder=find_eye_classic, true_outline=False, true_chine=False)
    assert row.must_refuse and row.refused is not None and row.why == "no_card"


def test_a_file_that_is_no_picture_stops_the_count(tmp_path: Path) -> None:
    (tmp_path / "face.json").write_text("{}")
    (tmp_path / "face.jpg").write_bytes(b"no picture")
    with pytest.raises(SystemExit, match=r"face\.jpg cannot be decoded"):
        evaluate(tmp_path / "face.json", finder=find_eye_classic, true_outline=False, true_chine=False)
