"""A photograph that is decoded already, read like one from a file; outlines from JSON; pictures for a screen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from gambrel.files.demo_photographs import demo_index, demo_photographs
from gambrel.files.outline_file import read_outline
from gambrel.files.photograph import kind_of, read_photograph_bytes
from gambrel.files.ribface_picture import photograph_jpeg
from gambrel.files.ribface_reading import ByHand, read_face, read_photograph
from gambrel.measures import CannotDo, Findings

NAME = "G1-left.jpg"
FACE = dict(demo_photographs())[NAME]


def test_the_same_figures_as_from_a_file(tmp_path: Path) -> None:
    path = tmp_path / NAME
    path.write_bytes(FACE)
    from_file = read_photograph(path).as_json()
    from_pixels = read_face(
        read_photograph_bytes(FACE, name=str(path)), by_hand=ByHand(), name=str(path)
    ).as_json()
    assert {**from_file, "seconds": 0} == {**from_pixels, "seconds": 0}
    truth = next(one for one in demo_index()["photographs"] if one["file"] == NAME)
    assert from_pixels["ribeye_cm2"] == pytest.approx(truth["ribeye_cm2"], rel=0.06)


def test_a_point_outside_the_picture_is_refused() -> None:
    photograph = read_photograph_bytes(FACE, name=NAME)
    with pytest.raises(CannotDo, match="outside the picture"):
        read_face(photograph, by_hand=ByHand(seed=(5000.0, 10.0)), name=NAME)


def test_a_face_that_cannot_be_read_is_an_answer_and_no_error() -> None:
    grey = cv2.imencode(".png", np.full((400, 600, 3), 127, np.uint8))[1].tobytes()
    said = read_face(read_photograph_bytes(grey, name="grey"), by_hand=ByHand(), name="grey")
    assert said.refused is not None and said.ribeye_cm2 is None
    assert said.refused.where == "grey"


@pytest.mark.parametrize(
    ("data", "kind"),
    [(b"\xff\xd8\xff\xe0", "JPEG"), (b"\x89PNG\r\n\x1a\n", "PNG"), (b"RIFF\0\0\0\0WEBP", "WEBP"),
     (b"II*\0", "TIFF"), (b"MM\0*", "TIFF"), (b"\0\0\0\x18ftypheic", "HEIF"), (b"\0\0\0\x18ftypmp42", None),
     (b"GIF89a", None), (b"", None), (b"RIFF\0\0\0\0WAVE", None)],
)  # fmt: skip
def test_kinds_by_their_first_bytes(data: bytes, kind: str | None) -> None:
    """[JPEG: ISO 10918-1; PNG and WebP: W3C and RFC 9649; TIFF 6.0; HEIF: ISO 23008-12, brands]"""
    assert kind_of(data) == kind


@pytest.mark.parametrize(
    ("held", "points"),
    [([[0, 0], [10, 0], [12, 5], [10, 10], [0, 10], [-2, 5]], 6),
     ({"outline_px": [[0, 0], [10, 0], [12, 5], [10, 10], [0, 10], [-2, 5], [0, 0]]}, 6)],
)  # fmt: skip
def test_an_outline_from_json(held: Any, points: int) -> None:
    findings = Findings()
    outline = read_outline(held, "C1-left", findings)
    assert outline is not None and outline.shape == (points, 2)
    assert not findings


@pytest.mark.parametrize(
    "held", [None, 3, "round", [], {}, {"outline_px": None}, [[1, 2]], [[1, 2, 3]] * 8, [[True, False]] * 8,
             [[float("nan"), 0]] * 8, [[1e9, 0]] * 8, [["1", "2"]] * 8, [[k, k % 7] for k in range(4001)]],
)  # fmt: skip
def test_what_is_no_outline(held: Any) -> None:
    findings = Findings()
    assert read_outline(held, "C1-left", findings) is None
    (finding,) = findings
    assert finding.where == "C1-left" and finding.do


@pytest.mark.parametrize(
    ("size", "longest_px", "shown"),
    [((900, 1200), 600, (450, 600)), ((1200, 900), 600, (600, 450)), ((300, 400), 600, (300, 400)),
     ((200, 4000), 640, (32, 640))],
)  # fmt: skip
def test_a_picture_for_a_screen_is_made_smaller_and_never_larger(
    size: tuple[int, int], longest_px: int, shown: tuple[int, int]
) -> None:
    jpeg = photograph_jpeg(np.full((*size, 3), 90, np.uint8), longest_px=longest_px)
    assert jpeg.startswith(b"\xff\xd8\xff")
    made = cv2.imdecode(np.frombuffer(jpeg, np.uint8), cv2.IMREAD_COLOR)
    assert made.shape[:2] == shown
    assert abs(float(made.mean()) - 90) < 2
