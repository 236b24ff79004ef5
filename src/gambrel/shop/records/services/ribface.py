"""Rib faces: a photograph kept and read, measured again with a person's help, entered by hand, accepted."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db import transaction

from gambrel.catalog.animal import FAT_MM_LIMITS, RIBEYE_CM2_LIMITS
from gambrel.files.outline_file import KnownLength, read_outline
from gambrel.files.ribface_reading import ByHand, read_face
from gambrel.files.ribface_reading import FaceReading as Said
from gambrel.measures import CannotDo, Estimate, Finding, Findings
from gambrel.measures.units import CM2_PER_IN2
from gambrel.shop.records import photograph_files
from gambrel.shop.records.models import FaceAccepted, FaceReading, HowRead, Person, Photograph, Side
from gambrel.shop.records.services.trail import record
from gambrel.standards.ribeye_area import dot_area_in2

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

CHINE_ENDS = ("left", "right", "top", "bottom")
IN_COLUMNS = ("photo", "seconds", "refused", "reason", "outline_px", "ribeye_cm2", "ribeye_cm2_interval", "fat_mm",
              "fat_mm_interval", "marbling_pct", "marbling_pct_interval", "marbling_score")  # fmt: skip
"""Names of a reading that have columns of their own and so are left out of its `answer`."""


def read_and_keep(
    side: Side, data: bytes, *, by: Person | None, at: datetime, by_hand: ByHand | None = None
) -> FaceReading:
    """Keep the photograph in `data` and what it says; the same one sent twice gives the reading that is there.

    The file is written before its lines, so that every line's file is there. A photograph that cannot be read
    is kept with its reason; bytes that are no photograph raise `CannotDo` and nothing is kept.
    """
    upload = photograph_files.checked(data, name=f"{side}")
    if (there := _read_before(side, upload.sha256)) is not None:
        return there
    hand = by_hand or ByHand()
    said = read_face(upload.decoded, by_hand=hand, name=f"{side}")
    name = photograph_files.write(upload)
    try:
        photograph_files.make_copies(name, upload)
        with transaction.atomic():
            Side.objects.select_for_update().get(pk=side.pk)  # the same photograph may come twice at once
            if (there := _read_before(side, upload.sha256)) is None:
                return _keep_new(side, upload, name, said, hand, by=by, at=at)
    except BaseException:
        photograph_files.remove(name)
        raise
    photograph_files.remove(name)
    return there


def _read_before(side: Side, sha256: str) -> FaceReading | None:
    """The first reading of this very photograph of this side."""
    rows = FaceReading.objects.filter(side=side, photograph__sha256=sha256, how=HowRead.READ)
    return rows.select_related("photograph").order_by("pk").first()


def _keep_new(
    side: Side, upload: photograph_files.Upload, name: str, said: Said, hand: ByHand, *, by: Person | None, at: datetime
) -> FaceReading:  # fmt: skip
    width_px, height_px = upload.decoded.stored_size
    photograph = Photograph.objects.create(
        side=side, at=at, by=by, file=name, content_type=upload.content_type, sha256=upload.sha256,
        width_px=width_px, height_px=height_px,
    )  # fmt: skip
    record(by, "photographed", photograph, after={"side": str(side), "sha256": upload.sha256})
    return _keep(photograph, said, hand, upload.decoded.orientation, how=HowRead.READ, by=by, at=at)


def measure_again(
    reading: FaceReading, *, by: Person | None, at: datetime, outline: Any = None,
    seed: tuple[float, float] | None = None, chine: str | None = None, length: KnownLength | None = None,
    scale: bool = True,
) -> FaceReading:  # fmt: skip
    """Measure the same photograph with what a person put right; what was given before and is not given now holds.

    Points are [x, y] in the stored picture's pixels. `outline` is as it came, a list of points. A point inside
    the eye takes the place of an outline, and an outline that of the point. Without `scale` no card is wanted and
    sizes are left out. `CannotDo` with what is wrong.
    """
    photograph = reading.photograph
    if photograph is None:
        raise CannotDo([Finding(f"{reading.side}", "a reading by hand", "a reading of a photograph",
                                "Enter the dots and the ruler anew.")])  # fmt: skip
    where, findings = f"{reading.side}", Findings()
    hand = hand_of(reading)
    if outline is not None:
        hand = replace(hand, outline=read_outline(outline, where, findings), seed=None)
    elif seed is not None:
        hand = replace(hand, outline=None, seed=seed)
    if chine is not None and chine not in CHINE_ENDS:
        findings.add(where, f"chine: {chine}", "left, right, top or bottom", "Choose one of these.")
    findings.stop_if_any()
    hand = replace(hand, chine=chine or hand.chine, length=length or hand.length, scale=scale)
    pixels = photograph_files.decoded(photograph)
    said = read_face(pixels, by_hand=hand, name=where)
    with transaction.atomic():
        return _keep(photograph, said, hand, pixels.orientation, how=HowRead.OUTLINE, by=by, at=at)


def hand_of(reading: FaceReading) -> ByHand:
    """What a person had given when this reading was made."""
    given = reading.answer.get("by_hand") or {}
    outline = None
    if given.get("outline") and reading.outline_px:
        outline = _array(reading.outline_px)
    length = given.get("length")
    return ByHand(
        chine=given.get("chine"),
        length=KnownLength(_pair(length[0]), _pair(length[1]), length[2]) if length else None,
        outline=outline,
        seed=_pair(given["seed"]) if given.get("seed") else None,
    )


def _array(points: Any) -> NDArray[np.float64]:
    import numpy as np

    return np.array(points, dtype=np.float64)


def _pair(point: Any) -> tuple[float, float]:
    return float(point[0]), float(point[1])


def _keep(
    photograph: Photograph, said: Said, hand: ByHand, orientation: int, *, how: HowRead, by: Person | None,
    at: datetime,
) -> FaceReading:  # fmt: skip
    """One line of what was said, and its line in the trail."""
    answer = {name: value for name, value in said.as_json().items() if name not in IN_COLUMNS}
    answer["orientation"] = orientation
    answer["by_hand"] = {
        "chine": hand.chine,
        "seed": list(hand.seed) if hand.seed else None,
        "outline": hand.outline is not None,
        "length": [list(hand.length.from_px), list(hand.length.to_px), hand.length.length_mm]
        if hand.length
        else None,
    }
    if said.refused is not None:
        answer["finding"] = said.refused.as_json()
    kept = FaceReading.objects.create(
        side=photograph.side, photograph=photograph, at=at, by=by, how=how, refused=said.refused is not None,
        reason=said.reason or "", answer=answer,
        outline_px=None if said.outline_px is None else [[round(x, 2), round(y, 2)] for x, y in said.outline_px],
        marbling_score=None if said.marbling_score is None else said.marbling_score.mean,
        **_ends("ribeye", "cm2", said.ribeye_cm2), **_ends("fat", "mm", said.fat_mm),
        **_ends("marbling", "pct", said.marbling_pct),
    )  # fmt: skip
    record(by, "refused" if kept.refused else "read" if how == HowRead.READ else "measured again", kept,
           after=_figures(kept))  # fmt: skip
    return kept


def _ends(name: str, unit: str, figure: Estimate | None) -> dict[str, float | None]:
    """Columns of one figure and the ends of its interval."""
    return {
        f"{name}_{unit}": figure.mean if figure else None,
        f"{name}_low_{unit}": figure.p05 if figure else None,
        f"{name}_high_{unit}": figure.p95 if figure else None,
    }


def _figures(reading: FaceReading) -> dict[str, Any]:
    names = ("ribeye_cm2", "fat_mm", "marbling_pct", "marbling_score")
    figures = {name: getattr(reading, name) for name in names}
    known = {name: round(value, 2) for name, value in figures.items() if value is not None}
    return {"side": str(reading.side), **known, **({"reason": reading.reason} if reading.refused else {})}


@dataclass(frozen=True, slots=True)
class HandFigures:
    """Dot grid and ruler: dots inside the eye and on its edge, cover fat, and a marbling score read by eye."""

    dots_inside_count: int | None = None
    dots_on_edge_count: int | None = None
    fat_mm: float | None = None
    marbling_score: float | None = None
    ribeye_cm2: float | None = field(default=None)
    """Area read off a planimeter or an earlier record, where no dots were counted."""

    def area_cm2(self) -> float | None:
        if self.dots_inside_count is None:
            return self.ribeye_cm2
        return CM2_PER_IN2 * dot_area_in2(
            interior=self.dots_inside_count, boundary=self.dots_on_edge_count or 0
        )


@transaction.atomic
def enter_by_hand(side: Side, figures: HandFigures, *, by: Person | None, at: datetime) -> FaceReading:
    """A reading without a photograph; it has no interval. `CannotDo` with all that is out of bounds."""
    where, findings = f"{side}", Findings()
    area_cm2 = figures.area_cm2()
    if area_cm2 is None and figures.fat_mm is None and figures.marbling_score is None:
        findings.add(where, "nothing", "the dots, the fat or the marbling", "Fill in what was read.")
    for what, value, (low, high), unit in (
        ("a ribeye", area_cm2, RIBEYE_CM2_LIMITS, "cm2"),
        ("fat", figures.fat_mm, FAT_MM_LIMITS, "mm"),
        ("a marbling score", figures.marbling_score, (0.0, 1000.0), ""),
    ):
        if value is not None and not low <= value <= high:
            findings.add(where, f"{what} of {value:.1f} {unit}".strip(), f"{low:g} to {high:g} {unit}".strip(),
                         "Count and read again, and look at the unit.")  # fmt: skip
    findings.stop_if_any()
    dots = {"dots_inside_count": figures.dots_inside_count, "dots_on_edge_count": figures.dots_on_edge_count}
    kept = FaceReading.objects.create(
        side=side, photograph=None, at=at, by=by, how=HowRead.BY_HAND, ribeye_cm2=area_cm2, fat_mm=figures.fat_mm,
        marbling_score=figures.marbling_score, answer={**dots, "official": False, "warnings": []},
    )  # fmt: skip
    record(by, "read by hand", kept, after={**_figures(kept), **dots})
    return kept


@transaction.atomic
def accept(reading: FaceReading, *, by: Person | None, at: datetime) -> FaceAccepted:
    """From now on this reading counts for its side; the one that counts already stays. A refused one cannot."""
    if reading.refused:
        raise CannotDo([Finding(f"{reading.side}", "a photograph that was not read", "a reading with figures",
                                "Take it again, help it by a tap inside the eye, or enter it by hand.")])  # fmt: skip
    Side.objects.select_for_update().get(pk=reading.side_id)
    newest = FaceAccepted.objects.filter(side=reading.side_id).order_by("-at", "-pk").first()
    if newest is not None and newest.reading_id == reading.pk:
        return newest
    line = FaceAccepted.objects.create(reading=reading, side=reading.side, at=at, by=by)
    before = {"reading": newest.reading_id} if newest else None
    record(by, "accepted", reading, before=before, after=_figures(reading))
    return line
