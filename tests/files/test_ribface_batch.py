"""How many photographs are handed out and answered, and what an answer becomes in JSON. No photograph is read here."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from concurrent.futures import Future
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.outline_file import KnownLength
from gambrel.files.ribface_batch import (
    _AHEAD,
    Job,
    _in_order,
    _stopped,
    cores,
    read_here,
    read_one,
)
from gambrel.files.ribface_reading import ByHand, FaceReading, check_inside
from gambrel.measures import CannotDo, Estimate, Finding

SIZE = (640, 480)


def answered(job: Job) -> FaceReading:
    return FaceReading(str(job.photo), 0.0)


class Desk:
    """Hands out answers at once, and counts how many."""

    def __init__(self) -> None:
        self.handed = 0

    def hand_out(self, job: Job) -> Future[FaceReading]:
        future: Future[FaceReading] = Future()
        future.set_result(answered(job))
        self.handed += 1
        return future


@given(count=st.integers(0, 300))
def test_answers_come_in_the_order_given(count: int) -> None:
    jobs = [Job(Path(f"{number}.jpg")) for number in range(count)]
    found = list(_in_order(jobs, Desk().hand_out))
    assert [answer.photo for answer in found] == [str(job.photo) for job in jobs]


def test_a_long_archive_is_handed_out_bit_by_bit() -> None:
    desk = Desk()
    jobs = [Job(Path(f"{number}.jpg")) for number in range(1000)]
    answers = _in_order(jobs, desk.hand_out)
    assert desk.handed == 0, "nothing is begun before it is asked for"
    for taken in range(1, 200):
        next(answers)
        assert desk.handed <= taken + _AHEAD
    assert desk.handed >= 200


def test_a_failure_of_one_is_not_hidden() -> None:
    def hand_out(job: Job) -> Future[FaceReading]:
        future: Future[FaceReading] = Future()
        if job.photo.name == "2.jpg":
            future.set_exception(ZeroDivisionError("a mistake of ours"))
        else:
            future.set_result(answered(job))
        return future

    answers = _in_order([Job(Path(f"{number}.jpg")) for number in range(4)], hand_out)
    assert [next(answers).photo, next(answers).photo] == ["0.jpg", "1.jpg"]
    with pytest.raises(ZeroDivisionError):
        next(answers)


def test_an_answer_may_be_made_of_a_failure() -> None:
    """As a plant does for a photograph that stopped its reader: the rest is read all the same."""

    def hand_out(job: Job) -> Future[FaceReading]:
        future: Future[FaceReading] = Future()
        if job.photo.name == "1.jpg":
            future.set_exception(MemoryError())
        else:
            future.set_result(answered(job))
        return future

    def of_failure(job: Job, future: Future[FaceReading]) -> FaceReading:
        return _stopped(job) if future.exception() else future.result()

    answers = list(_in_order([Job(Path(f"{number}.jpg")) for number in range(3)], hand_out, of_failure))
    assert [answer.photo for answer in answers] == ["0.jpg", "1.jpg", "2.jpg"]
    assert [answer.refused is None for answer in answers] == [True, False, True]
    assert answers[1].reason is not None and "stops the reader" in answers[1].reason


def test_with_one_process_it_is_read_here_and_one_by_one(tmp_path: Path) -> None:
    first = tmp_path / "a.jpg"
    first.write_bytes(b"GIF89a no photograph")
    answers: Iterator[FaceReading] = read_here(
        [Job(first), Job(tmp_path / "later.jpg")], ByHand(), processes=1
    )
    assert next(answers).refused is not None
    (tmp_path / "later.jpg").write_bytes(b"")
    later = next(answers)
    assert later.refused is not None and later.refused.given == "an empty file"
    assert list(answers) == []


def test_nothing_to_read_gives_nothing() -> None:
    assert list(read_here([], ByHand(), processes=4)) == []


def test_a_refused_photograph_draws_no_picture(tmp_path: Path) -> None:
    bad = tmp_path / "bad.jpg"
    bad.write_bytes(b"\x00" * 50)
    answer = read_one(Job(bad, tmp_path / "drawn.png"), ByHand())
    assert answer.refused is not None
    assert not (tmp_path / "drawn.png").exists()


def test_there_is_at_least_one_core() -> None:
    assert 1 <= cores() <= 4096


FULL = FaceReading(
    "side.jpg", 0.12345678, ribeye_cm2=Estimate(82.61849, 80.1, 84.98765), fat_mm=Estimate(12.1, 10.0, 13.5),
    marbling_pct=Estimate(5.26, 4.4, 6.1), length_cm=14.23456, width_cm=7.3, lean_lab=(38.123, 22.5, 10.567),
    fat_lab=(77.0, 4.0, 14.0), marbling_score=Estimate(431.4, 380.2, 489.7), lean_fat_pct=Estimate(5.91, 4.1, 7.7),
    outline_px=((1.005, 2.0), (3.14159, 4.0), (5.0, 6.5)), axis_px=((1.0, 2.0), (5.0, 6.5)),
    fat_line_px=((2.0, 2.0), (2.5, 9.0)), mm_per_px=0.0812345678, taken_at="2026-03-09 14:05:00", warnings=("soft",),
)  # fmt: skip


def test_figures_are_rounded_to_what_they_are_worth() -> None:
    said = FULL.as_json()
    assert (said["ribeye_cm2"], said["ribeye_cm2_interval"]) == (82.618, [80.1, 84.988])
    assert (said["marbling_score"], said["marbling_score_interval"]) == (431, [380, 490])
    assert said["lean_fat_pct"] == 5.9
    assert said["lean_lab"] == [38.12, 22.5, 10.57]
    assert said["outline_px"][1] == [3.14, 4.0]
    assert said["mm_per_px"] == 0.081235
    assert said["seconds"] == 0.1235
    assert said["taken_at"] == "2026-03-09 14:05:00"
    assert said["official"] is False


def test_a_refused_answer_has_the_same_fields_and_nothing_in_them() -> None:
    finding = Finding("side.jpg", "nothing seen", "a card", "Take it again.")
    said = FaceReading("side.jpg", 0.1, finding, "no card").as_json()
    assert list(said) == list(FULL.as_json())
    assert (said["refused"], said["reason"]) == (True, "no card")
    kept = {"photo", "refused", "reason", "official", "seconds", "warnings"}
    assert all(said[name] is None for name in set(said) - kept)


def test_an_answer_is_strict_json() -> None:
    text = json.dumps(FULL.as_json(), allow_nan=False)
    assert json.loads(text) == FULL.as_json()
    assert not any(isinstance(value, float) and math.isnan(value) for value in json.loads(text).values())


@pytest.mark.parametrize(("x", "y"), [(0, 0), (639, 479), (-0.5, -0.5), (639.5, 479.5), (320, 240)])
def test_points_within_the_picture_pass(x: float, y: float) -> None:
    check_inside(ByHand(seed=(x, y)), SIZE, "side.jpg")


@pytest.mark.parametrize(("x", "y"), [(-1, 0), (0, -0.6), (640, 0), (0, 480), (5000, 5000)])
def test_points_outside_are_findings(x: float, y: float) -> None:
    with pytest.raises(CannotDo) as cannot:
        check_inside(ByHand(seed=(x, y)), SIZE, "side.jpg")
    (finding,) = cannot.value.findings
    assert finding.where == "side.jpg"
    assert "the point in the eye" in finding.given
    assert finding.wanted == "a point within 640 x 480 pixels"


def test_all_points_outside_are_said_at_once() -> None:
    by_hand = ByHand(
        length=KnownLength((-5, 0), (700, 10), 120),
        outline=np.array([[1.0, 1], [2, 900], [3, 3]]),
        seed=(9999, 1),
    )
    with pytest.raises(CannotDo) as cannot:
        check_inside(by_hand, SIZE, "side.jpg")
    given_words = [finding.given.split(" at ")[0] for finding in cannot.value.findings]
    assert given_words == [
        "an end of the length", "an end of the length", "the point in the eye", "a point of the outline"
    ]  # fmt: skip


def test_upright_is_not_stored_where_the_picture_is_turned() -> None:
    """The size is the stored one: a point that only fits the turned picture is outside."""
    check_inside(ByHand(seed=(600, 100)), (640, 480), "side.jpg")
    with pytest.raises(CannotDo):
        check_inside(ByHand(seed=(600, 100)), (480, 640), "side.jpg")
