"""From a photograph file to what the rib face says, or why it cannot be said. Nothing is raised for a bad file."""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gambrel.files.outline_file import KnownLength
from gambrel.files.photograph import Photograph, read_photograph_file
from gambrel.measures import CannotDo, Estimate, Finding, Findings

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from gambrel.ribface.reading import Reading
    from gambrel.ribface.refuse import Refusal

Point = tuple[float, float]
_FRAME_DIAGONAL_MM = 43.27
"""Of the 24 x 36 mm frame that "35 mm equivalent" refers to. [CIPA DCG-001, 2005]"""


@dataclass(frozen=True)
class ByHand:
    """What a person gave with the photograph. Points are in stored pixels; `chine` is where it is seen upright."""

    chine: str | None = None
    length: KnownLength | None = None
    outline: NDArray[np.float64] | None = None
    seed: Point | None = None
    scale: bool = True


@dataclass(frozen=True)
class FaceReading:
    """What one photograph says. Points are in stored pixels; what is None was not read.

    A refused photograph has its reason as a sentence and the finding that it was made of.
    """

    photo: str
    seconds: float
    refused: Finding | None = None
    reason: str | None = None
    ribeye_cm2: Estimate | None = None
    fat_mm: Estimate | None = None
    marbling_pct: Estimate | None = None
    length_cm: float | None = None
    width_cm: float | None = None
    lean_lab: tuple[float, ...] | None = None
    fat_lab: tuple[float, ...] | None = None
    marbling_score: Estimate | None = None
    lean_fat_pct: Estimate | None = None
    outline_px: tuple[Point, ...] | None = None
    axis_px: tuple[Point, ...] | None = None
    fat_line_px: tuple[Point, ...] | None = None
    mm_per_px: float | None = None
    taken_at: str | None = None
    warnings: tuple[str, ...] = field(default=())

    def as_json(self) -> dict[str, Any]:
        return {
            "photo": self.photo,
            "refused": self.refused is not None,
            "reason": self.reason,
            **_with_interval("ribeye_cm2", self.ribeye_cm2),
            **_with_interval("fat_mm", self.fat_mm),
            **_with_interval("marbling_pct", self.marbling_pct),
            "length_cm": _short(self.length_cm),
            "width_cm": _short(self.width_cm),
            "lean_lab": None if self.lean_lab is None else [round(value, 2) for value in self.lean_lab],
            "fat_lab": None if self.fat_lab is None else [round(value, 2) for value in self.fat_lab],
            **_with_interval("marbling_score", self.marbling_score, digits=0),
            **_with_interval("lean_fat_pct", self.lean_fat_pct, digits=1),
            "official": False,
            "outline_px": _points(self.outline_px),
            "axis_px": _points(self.axis_px),
            "fat_line_px": _points(self.fat_line_px),
            "mm_per_px": _short(self.mm_per_px, 6),
            "taken_at": self.taken_at,
            "seconds": round(self.seconds, 4),
            "warnings": list(self.warnings),
        }


def read_photograph(path: Path, *, by_hand: ByHand | None = None, picture: Path | None = None) -> FaceReading:
    """Read the photograph at `path`; with `picture`, draw what was measured into that PNG or JPEG file.

    Only the picture file may raise `CannotDo` (a folder that cannot be written); whatever is wrong with the
    photograph is in the answer.
    """
    start = time.perf_counter()
    name = str(path)
    try:
        photograph = read_photograph_file(path)
        answer, reading = _told(photograph, by_hand or ByHand(), name, start)
    except CannotDo as cannot:
        finding = cannot.findings[0]
        reason = f"{finding.given}; wanted {finding.wanted}. {finding.do}"
        return FaceReading(name, time.perf_counter() - start, finding, reason)
    if picture is not None and reading is not None:
        from gambrel.files.ribface_picture import picture_bytes
        from gambrel.files.writing import write_whole

        write_whole(picture, picture_bytes(photograph.bgr, reading, picture.name))
    return answer


def read_face(photograph: Photograph, *, by_hand: ByHand, name: str) -> FaceReading:
    """What a photograph says that is decoded already; `name` is for messages.

    `CannotDo` when a point given by hand lies outside the picture.
    """
    return _told(photograph, by_hand, name, time.perf_counter())[0]


def _told(
    photograph: Photograph, by_hand: ByHand, name: str, start: float
) -> tuple[FaceReading, Reading | None]:
    """The answer, and what it was made of where the face was read; the clock has run since `start`."""
    from gambrel.ribface.refuse import Refusal

    reading = _read(photograph, by_hand, name)
    seconds = time.perf_counter() - start
    if isinstance(reading, Refusal):
        return FaceReading(
            name, seconds, reading.finding(name), reading.sentence(), warnings=photograph.warnings
        ), None
    return _answer(reading, photograph, name, seconds), reading


def _read(photograph: Photograph, by_hand: ByHand, name: str) -> Reading | Refusal:
    """The reader on the upright pixels, with what was given by hand turned upright too."""
    from gambrel.ribface.plane import Plane
    from gambrel.ribface.read import read_ribface

    check_inside(by_hand, photograph.stored_size, name)
    plane = outline = seed = None
    if by_hand.length is not None:
        ends = _upright(photograph, [by_hand.length.from_px, by_hand.length.to_px])
        plane = Plane.from_length(ends[0], ends[1], by_hand.length.length_mm)
    if by_hand.outline is not None:
        outline = photograph.to_upright(by_hand.outline)
    if by_hand.seed is not None:
        seed = _upright(photograph, [by_hand.seed])[0]
    focal_mm = photograph.focal_equiv_mm
    return read_ribface(
        photograph.bgr,
        plane=plane,
        outline=outline,
        seed=seed,
        chine=by_hand.chine,
        scale=by_hand.scale,
        focal_share=None if focal_mm is None else focal_mm / _FRAME_DIAGONAL_MM,
    )


def check_inside(by_hand: ByHand, stored_size: tuple[int, int], name: str) -> None:
    """`CannotDo` when a point given by hand lies outside the picture."""
    width, height = stored_size
    given: list[tuple[str, Point]] = []
    if by_hand.length is not None:
        given += [
            ("an end of the length", by_hand.length.from_px),
            ("an end of the length", by_hand.length.to_px),
        ]
    if by_hand.seed is not None:
        given.append(("the point in the eye", by_hand.seed))
    if by_hand.outline is not None:
        given += [("a point of the outline", (float(x), float(y))) for x, y in by_hand.outline]
    findings = Findings()
    for what, (x, y) in given:
        if not (-0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5):
            do = "Give points in pixels of the stored picture, as a reading does."
            findings.add(name, f"{what} at {x:g}, {y:g}, outside the picture",
                         f"a point within {width} x {height} pixels", do)  # fmt: skip
    findings.stop_if_any()


def _upright(photograph: Photograph, points: list[Point]) -> list[Point]:
    import numpy as np

    turned = photograph.to_upright(np.array(points, dtype=np.float64))
    return [(float(x), float(y)) for x, y in turned]


def _answer(reading: Reading, photograph: Photograph, name: str, seconds: float) -> FaceReading:
    def stored(points: NDArray[np.float64] | None) -> tuple[Point, ...] | None:
        return None if points is None else tuple((x, y) for x, y in photograph.to_stored(points).tolist())

    return FaceReading(
        photo=name,
        seconds=seconds,
        ribeye_cm2=_estimate(reading.ribeye_cm2, reading.ribeye_cm2_interval),
        fat_mm=_estimate(reading.fat_mm, reading.fat_mm_interval),
        marbling_pct=_estimate(reading.marbling_pct, reading.marbling_pct_interval),
        length_cm=reading.length_cm,
        width_cm=reading.width_cm,
        lean_lab=reading.lean_lab,
        fat_lab=reading.fat_lab,
        marbling_score=_estimate(reading.marbling_score, reading.marbling_score_interval),
        lean_fat_pct=_estimate(reading.lean_fat_pct, reading.lean_fat_pct_interval),
        outline_px=stored(reading.outline_px),
        axis_px=stored(reading.axis_px),
        fat_line_px=stored(reading.fat_line_px),
        mm_per_px=reading.mm_per_px,
        taken_at=photograph.taken_at,
        warnings=(*photograph.warnings, *reading.warnings),
    )


def _estimate(value: float | None, interval: tuple[float, float] | None) -> Estimate | None:
    return (
        None
        if value is None or interval is None
        else Estimate(float(value), float(interval[0]), float(interval[1]))
    )


def _with_interval(name: str, estimate: Estimate | None, *, digits: int = 3) -> dict[str, Any]:
    if estimate is None:
        return {name: None, f"{name}_interval": None}
    ends = [_short(estimate.p05, digits), _short(estimate.p95, digits)]
    return {name: _short(estimate.mean, digits), f"{name}_interval": ends}


def _short(value: float | None, digits: int = 3) -> float | None:
    return None if value is None else round(float(value), digits)


def _points(points: tuple[Point, ...] | None) -> list[list[float]] | None:
    return None if points is None else [[round(x, 2), round(y, 2)] for x, y in points]
