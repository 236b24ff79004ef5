"""Photographs of rib faces kept as records: read once, measured again, entered by hand, accepted.

Truth of the photographs is their renderer's (`files/demo_faces/index.json`), not the reader's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from django.conf import settings

from gambrel.files.demo_photographs import demo_index, demo_photographs
from gambrel.files.outline_file import KnownLength
from gambrel.measures import CannotDo
from gambrel.shop.records import photograph_files
from gambrel.shop.records.models import (
    AuditLine,
    FaceAccepted,
    FaceReading,
    HowRead,
    Person,
    Photograph,
    Side,
)
from gambrel.shop.records.services import ribface
from gambrel.shop.records.services.ribface import HandFigures
from gambrel.shop.records.week import faces_of

AT = datetime(2026, 3, 9, 16, tzinfo=UTC)
FACES = dict(demo_photographs())
TRUTH = {one["file"]: one for one in demo_index()["photographs"]}


@pytest.fixture
def cutter(demo_shop: object) -> Person:
    return Person.objects.get(role="cutter")


@pytest.fixture
def side(demo_shop: object) -> Side:
    return Side.objects.get(animal__tag="C1", half="left")


@pytest.fixture
def kept(side: Side, cutter: Person) -> FaceReading:
    return ribface.read_and_keep(side, FACES["C1-left.jpg"], by=cutter, at=AT)


def test_a_photograph_is_kept_and_read(kept: FaceReading, side: Side, cutter: Person) -> None:
    truth = TRUTH["C1-left.jpg"]
    assert not kept.refused
    assert kept.ribeye_cm2 == pytest.approx(truth["ribeye_cm2"], rel=0.06)
    assert kept.fat_mm == pytest.approx(truth["fat_mm"], abs=3.0)
    assert kept.ribeye_low_cm2 < kept.ribeye_cm2 < kept.ribeye_high_cm2
    photograph = kept.photograph
    assert (photograph.width_px, photograph.height_px) == tuple(demo_index()["size"])
    stored = settings.PLACE.photographs / photograph.file
    assert stored.read_bytes() == FACES["C1-left.jpg"]
    assert "C1" not in photograph.file  # a name of our own
    assert kept.answer["official"] is False
    said = list(AuditLine.objects.filter(by=cutter).order_by("pk").values_list("what", flat=True))
    assert said[-2:] == ["photographed", "read"]


def test_the_same_photograph_twice_is_one_reading(kept: FaceReading, side: Side, cutter: Person) -> None:
    files = sorted(settings.PLACE.photographs.rglob("*"))
    again = ribface.read_and_keep(side, FACES["C1-left.jpg"], by=cutter, at=AT)
    assert again.pk == kept.pk
    assert Photograph.objects.filter(side=side).count() == 1
    assert sorted(settings.PLACE.photographs.rglob("*")) == files


def test_the_same_photograph_sent_while_the_first_is_read(
    kept: FaceReading, side: Side, cutter: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first look finds nothing, the second, with the side held, finds what came meanwhile."""
    looks: list[FaceReading | None] = [None, kept]
    monkeypatch.setattr(ribface, "_read_before", lambda side, sha256: looks.pop(0))
    files = sorted(settings.PLACE.photographs.rglob("*"))
    assert ribface.read_and_keep(side, FACES["C1-left.jpg"], by=cutter, at=AT).pk == kept.pk
    assert not looks
    assert sorted(settings.PLACE.photographs.rglob("*")) == files


def test_on_another_side_it_is_a_photograph_of_its_own(kept: FaceReading, cutter: Person) -> None:
    other = ribface.read_and_keep(
        Side.objects.get(animal__tag="C1", half="right"), FACES["C1-left.jpg"], by=cutter, at=AT
    )
    assert other.pk != kept.pk
    assert other.photograph.file != kept.photograph.file


@pytest.mark.parametrize(
    ("data", "given"),
    [(b"", "an empty file"), (b"GIF89a" + bytes(50), "GIF file"), (b"<svg onload=x>", "no picture that is known"),
     (b"\xff\xd8\xff" + bytes(400), "JPEG")],
)  # fmt: skip
def test_what_is_no_photograph_is_not_kept(side: Side, cutter: Person, data: bytes, given: str) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(CannotDo) as refused:
        ribface.read_and_keep(side, data, by=cutter, at=AT)
    assert given in refused.value.findings[0].given
    assert not Photograph.objects.exists()
    assert AuditLine.objects.count() == lines


def test_a_failure_while_storing_leaves_no_file(
    side: Side, cutter: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object, **kwargs: object) -> None:
        raise RuntimeError("the disk is full")

    before = set(settings.PLACE.photographs.rglob("*.jpg"))
    monkeypatch.setattr(ribface, "record", fail)
    with pytest.raises(RuntimeError):
        ribface.read_and_keep(side, FACES["C1-left.jpg"], by=cutter, at=AT)
    assert set(settings.PLACE.photographs.rglob("*.jpg")) == before
    assert not Photograph.objects.exists()


def test_a_photograph_without_a_face_is_kept_with_its_reason(side: Side, cutter: Person) -> None:
    import cv2

    plain = cv2.imencode(".jpg", np.full((900, 1200, 3), 128, np.uint8))[1].tobytes()
    kept = ribface.read_and_keep(side, plain, by=cutter, at=AT)
    assert kept.refused
    assert kept.ribeye_cm2 is None
    assert "card" in kept.reason
    assert set(kept.answer["finding"]) == {"where", "given", "wanted", "do"}
    with pytest.raises(CannotDo, match="not read"):
        ribface.accept(kept, by=cutter, at=AT)


def test_an_outline_put_right_is_measured_as_it_is(kept: FaceReading, cutter: Person) -> None:
    """Nine tenths as large about its middle, the eye has 0.81 of the area."""
    outline = np.array(kept.outline_px)
    middle = outline.mean(axis=0)
    smaller = (middle + (outline - middle) * 0.9).tolist()
    again = ribface.measure_again(kept, outline=smaller, by=cutter, at=AT)
    assert again.how == HowRead.OUTLINE
    assert again.ribeye_cm2 == pytest.approx(0.81 * kept.ribeye_cm2, rel=0.01)
    assert again.outline_px == [pytest.approx(point, abs=0.01) for point in smaller]
    assert again.photograph_id == kept.photograph_id
    assert FaceReading.objects.filter(photograph=kept.photograph).count() == 2


def test_what_was_put_right_holds_when_more_is_put_right(kept: FaceReading, cutter: Person) -> None:
    outline = (np.array(kept.outline_px) + np.array([3.0, 0.0])).tolist()
    first = ribface.measure_again(kept, outline=outline, by=cutter, at=AT)
    second = ribface.measure_again(first, chine="left", by=cutter, at=AT)
    assert second.answer["by_hand"] == {"chine": "left", "seed": None, "outline": True, "length": None}
    assert second.ribeye_cm2 == pytest.approx(first.ribeye_cm2)
    middle = tuple(np.array(kept.outline_px).mean(axis=0).tolist())
    third = ribface.measure_again(second, seed=middle, by=cutter, at=AT)
    assert third.answer["by_hand"] == {
        "chine": "left",
        "seed": list(middle),
        "outline": False,
        "length": None,
    }


def test_the_other_chine_end_moves_the_fat_line(kept: FaceReading, cutter: Person) -> None:
    """Fat is measured at three quarters of the length from the chine, so the line changes ends with it."""
    start, end = np.array(kept.answer["axis_px"])
    lines = {}
    for chine, near, far in (("left", start, end), ("right", end, start)):
        if start[0] > end[0]:
            near, far = far, near
        again = ribface.measure_again(kept, chine=chine, by=cutter, at=AT)
        if again.answer["fat_line_px"] is None:
            continue
        foot = np.array(again.answer["fat_line_px"][0])
        lines[chine] = float((foot - near) @ (far - near) / ((far - near) @ (far - near)))
    assert lines
    assert all(share > 0.5 for share in lines.values()), lines


def test_a_length_by_hand_scales_the_figures(kept: FaceReading, cutter: Person) -> None:
    start, end = (tuple(point) for point in kept.answer["axis_px"])
    length_mm = 10 * kept.answer["length_cm"]
    once = ribface.measure_again(kept, length=KnownLength(start, end, length_mm), by=cutter, at=AT)
    half = ribface.measure_again(once, length=KnownLength(start, end, length_mm / 2), by=cutter, at=AT)
    assert once.ribeye_cm2 == pytest.approx(kept.ribeye_cm2, rel=0.08)  # the card's perspective is left out
    assert half.ribeye_cm2 == pytest.approx(once.ribeye_cm2 / 4, rel=0.02)


@pytest.mark.parametrize(
    ("outline", "given"),
    [([[1, 1], [2, 2]], "2 points"), ("circle", "no points"), ([[0, 0]] * 3 + [["a", 1]] * 3, "not two numbers"),
     ([[-50, 10], [500, 10], [500, 300], [400, 500], [200, 500], [100, 300]], "outside the picture"),
     ([[10, 10], [500, 500], [500, 10], [10, 500], [5, 300], [7, 100]], "crosses itself")],
)  # fmt: skip
def test_an_outline_that_is_none(kept: FaceReading, cutter: Person, outline: object, given: str) -> None:
    with pytest.raises(CannotDo) as refused:
        ribface.measure_again(kept, outline=outline, by=cutter, at=AT)
    assert given in refused.value.findings[0].given
    assert FaceReading.objects.filter(photograph=kept.photograph).count() == 1


def test_a_chine_that_is_no_side(kept: FaceReading, cutter: Person) -> None:
    with pytest.raises(CannotDo, match="chine: north"):
        ribface.measure_again(kept, chine="north", by=cutter, at=AT)


def test_dots_are_counted_as_the_method_sheet_does(side: Side, cutter: Person) -> None:
    """98 dots inside and 9 on the edge are 10.15 in2 (USDA dot-grid method sheet, 2011); 1 in2 is 6.4516 cm2."""
    figures = HandFigures(dots_inside_count=98, dots_on_edge_count=9, fat_mm=12.7, marbling_score=430.0)
    kept = ribface.enter_by_hand(side, figures, by=cutter, at=AT)
    assert kept.ribeye_cm2 == pytest.approx(10.15 * 6.4516)
    assert (kept.fat_mm, kept.marbling_score, kept.ribeye_low_cm2) == (12.7, 430.0, None)
    assert kept.how == HowRead.BY_HAND
    with pytest.raises(CannotDo, match="reading by hand"):
        ribface.measure_again(kept, chine="left", by=cutter, at=AT)


def test_figures_by_hand_out_of_bounds_are_said_all_at_once(side: Side, cutter: Person) -> None:
    wrong = HandFigures(dots_inside_count=2, fat_mm=400.0, marbling_score=4300.0)
    with pytest.raises(CannotDo) as refused:
        ribface.enter_by_hand(side, wrong, by=cutter, at=AT)
    assert len(refused.value.findings) == 3
    with pytest.raises(CannotDo, match="nothing"):
        ribface.enter_by_hand(side, HandFigures(), by=cutter, at=AT)
    area = replace(HandFigures(), ribeye_cm2=80.0)
    assert ribface.enter_by_hand(side, area, by=cutter, at=AT).ribeye_cm2 == 80.0


def test_the_newest_accepted_reading_counts(kept: FaceReading, side: Side, cutter: Person) -> None:
    assert faces_of([side]) == {}  # read, but nobody said that it counts
    ribface.accept(kept, by=cutter, at=AT)
    by_hand = ribface.enter_by_hand(side, HandFigures(ribeye_cm2=80.0), by=cutter, at=AT)
    assert faces_of([side])[side.pk].pk == kept.pk
    ribface.accept(by_hand, by=cutter, at=AT)
    ribface.accept(by_hand, by=cutter, at=AT)
    assert faces_of([side])[side.pk].pk == by_hand.pk
    assert FaceAccepted.objects.filter(side=side).count() == 2
    line = AuditLine.objects.filter(what="accepted").latest("pk")
    assert line.before == {"reading": kept.pk}


def test_copies_for_the_screen_are_small_upright_and_made_again(kept: FaceReading) -> None:
    import cv2

    made: Callable[[], Path] = lambda: (  # noqa: E731
        settings.PLACE.photographs / photograph_files.COPIES / f"{Path(kept.photograph.file).stem}-small.jpg"
    )
    assert made().is_file()  # while the pixels were at hand
    made().unlink()
    small = photograph_files.copy_for_screen(kept.photograph, "small")
    assert made().read_bytes() == small
    shown = cv2.imdecode(np.frombuffer(small, np.uint8), cv2.IMREAD_COLOR)
    assert shown.shape[:2] == (480, 640)  # 2016 x 1512 with 640 as its longer side
    assert b"Exif" not in small
