"""What the rib-face pages show: which sides were read, one photograph with its outline, faces beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from gambrel.catalog.grading import face_of
from gambrel.catalog.kinds import Kind
from gambrel.files.turning import SWAPPED, point_to_stored, point_to_upright
from gambrel.measures import Estimate
from gambrel.shop.records.models import FaceReading, Photograph, Side
from gambrel.shop.records.week import carcass_of, faces_of, kinds_of_shop, sides_on_rail
from gambrel.standards.carcass_grades import Grades, grade_carcass
from gambrel.standards.marbling import words

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Point = tuple[float, float]
VIEW_MARGIN_SHARE = 0.22
"""Room around the eye, as a share of its longer side."""

MOST_DRAWN = 400
"""Points of an outline that a page draws; one a millimetre or so."""


@dataclass(frozen=True, slots=True)
class FaceLine:
    """One hanging side in the list: the reading that counts, and a newer one that nobody has looked at yet."""

    side: Side
    kind: str
    days_hung: int
    counts: FaceReading | None
    newest: FaceReading | None

    @property
    def state(self) -> str:
        """none: never read; refused; waiting: read and not accepted; again: a newer one waits; accepted."""
        if self.newest is None:
            return "none"
        if self.counts is None:
            return "refused" if self.newest.refused else "waiting"
        return "accepted" if self.newest.pk <= self.counts.pk or self.newest.refused else "again"


_ORDER = ("none", "refused", "waiting", "again", "accepted")


def face_lines(*, today: date) -> list[FaceLine]:
    """Every hanging side, those that want a photograph first, then the longest hung. Five queries at most."""
    sides = list(sides_on_rail().order_by("hung_at", "animal__tag", "half"))
    kinds, counts, newest = kinds_of_shop(), faces_of(sides), _newest(sides)
    lines = [
        FaceLine(side, _kind_name(side, kinds), max(0, (today - side.animal.killed_on).days),
                 counts.get(side.pk), newest.get(side.pk))
        for side in sides
    ]  # fmt: skip
    return sorted(lines, key=lambda line: _ORDER.index(line.state))


def _newest(sides: Iterable[Side]) -> dict[int, FaceReading]:
    rows = FaceReading.objects.filter(side__in=[side.pk for side in sides]).defer("outline_px", "answer")
    return {row.side_id: row for row in rows.order_by("at", "pk")}


def _kind_name(side: Side, kinds: Mapping[str, Kind]) -> str:
    return kinds[side.animal.kind].name if side.animal.kind in kinds else side.animal.kind


@dataclass(frozen=True, slots=True)
class Overlay:
    """What is drawn over a photograph, in pixels of the upright picture. `chine` is the chine's end of the axis."""

    width_px: int
    height_px: int
    outline: tuple[Point, ...] = ()
    axis: tuple[Point, ...] = ()
    fat_line: tuple[Point, ...] = ()

    @property
    def chine(self) -> Point | None:
        """Fat is measured at three quarters of the length from the chine: the further end of the axis."""
        if not self.axis or not self.fat_line:
            return None
        x, y = self.fat_line[0]
        return max(self.axis, key=lambda end: (end[0] - x) ** 2 + (end[1] - y) ** 2)

    @property
    def points(self) -> str:
        """The outline as SVG takes it."""
        return " ".join(f"{x:g},{y:g}" for x, y in self.outline)

    @property
    def outline_json(self) -> str:
        """The outline as a script takes it."""
        return "[" + ",".join(f"[{x:g},{y:g}]" for x, y in self.outline) + "]"

    @property
    def view(self) -> tuple[int, int, int, int]:
        """Left, top, width and height of the part to look at: the eye with its cover; all of it without an eye."""
        if not self.outline:
            return 0, 0, self.width_px, self.height_px
        across, down = zip(*(*self.outline, *self.fat_line), strict=True)
        room = VIEW_MARGIN_SHARE * max(max(across) - min(across), max(down) - min(down))
        left, top = max(0, round(min(across) - room)), max(0, round(min(down) - room))
        right = min(self.width_px, round(max(across) + room))
        foot = min(self.height_px, round(max(down) + room))
        return left, top, right - left, foot - top


@dataclass(frozen=True, slots=True)
class Figures:
    """The figures of one reading with their intervals; None where it was not read, or has no interval."""

    ribeye_cm2: Estimate | None
    fat_mm: Estimate | None
    marbling_pct: Estimate | None
    score: Estimate | None
    degree: str | None
    length_cm: float | None
    width_cm: float | None


@dataclass(frozen=True, slots=True)
class FacePage:
    """One side: the reading that is looked at, the one that counts, all the others, and what to say about them."""

    side: Side
    kind: str
    ribbed_between: tuple[int, int] | None
    shown: FaceReading | None
    counts: FaceReading | None
    readings: tuple[FaceReading, ...]
    overlay: Overlay | None
    figures: Figures | None
    grades: Grades | None
    fellow: Side | None
    also_of: tuple[Side, ...]

    @property
    def shown_counts(self) -> bool:
        return self.shown is not None and self.counts is not None and self.shown.pk == self.counts.pk


def face_page(side: Side, *, reading_id: int | None = None) -> FacePage:
    """The page of one side; the reading asked for is shown, else the newest."""
    rows = FaceReading.objects.filter(side=side).order_by("-at", "-pk")
    readings = list(rows.select_related("by").defer("outline_px", "answer"))
    asked = next((one.pk for one in readings if one.pk == reading_id), readings[0].pk if readings else None)
    shown = FaceReading.objects.select_related("photograph", "by").get(pk=asked) if asked else None
    both = list(Side.objects.filter(animal=side.animal_id).select_related("animal"))
    kind = kinds_of_shop().get(side.animal.kind)
    photograph = shown.photograph if shown else None
    return FacePage(
        side=side,
        kind=kind.name if kind else side.animal.kind,
        ribbed_between=kind.ribbed_between if kind else None,
        shown=shown,
        counts=faces_of([side]).get(side.pk),
        readings=tuple(readings),
        overlay=overlay_of(shown) if shown else None,
        figures=figures_of(shown) if shown and not shown.refused else None,
        grades=_grades(shown, both, kind) if shown and kind else None,
        fellow=next((one for one in both if one.pk != side.pk), None),
        also_of=_also_of(photograph, side) if photograph else (),
    )


def _also_of(photograph: Photograph, side: Side) -> tuple[Side, ...]:
    """Other sides that the very same photograph is kept for."""
    others = Photograph.objects.filter(sha256=photograph.sha256).exclude(side=side)
    return tuple(one.side for one in others.select_related("side__animal"))


def figures_of(reading: FaceReading) -> Figures:
    score = reading.marbling_score
    return Figures(
        ribeye_cm2=_estimate(reading.ribeye_cm2, reading.ribeye_low_cm2, reading.ribeye_high_cm2),
        fat_mm=_estimate(reading.fat_mm, reading.fat_low_mm, reading.fat_high_mm),
        marbling_pct=_estimate(reading.marbling_pct, reading.marbling_low_pct, reading.marbling_high_pct),
        score=_estimate(score, *(reading.answer.get("marbling_score_interval") or (None, None))),
        degree=None if score is None else words(score),
        length_cm=reading.answer.get("length_cm"),
        width_cm=reading.answer.get("width_cm"),
    )


def _estimate(value: float | None, low: float | None, high: float | None) -> Estimate | None:
    if value is None or low is None or high is None:
        return None
    return Estimate(value, low, high)


def _grades(reading: FaceReading, both: list[Side], kind: Kind) -> Grades | None:
    """The published systems on this reading alone, the carcass weighed by both its sides."""
    if reading.refused or reading.fat_mm is None or reading.ribeye_cm2 is None:
        return None
    animal = both[0].animal
    hot_kg = sum(float(side.hot_kg) for side in both) * (2 / len(both))
    return grade_carcass(
        face_of(carcass_of(animal, kind, hot_kg=hot_kg, faces=[reading], on=animal.killed_on))
    )


def overlay_of(reading: FaceReading) -> Overlay | None:
    """What the reading measured, on the upright picture; None for a reading by hand."""
    photograph = reading.photograph
    if photograph is None:
        return None
    width_px, height_px = upright_size(photograph, reading.answer.get("orientation", 1))
    return Overlay(
        width_px=width_px,
        height_px=height_px,
        outline=_thinned(_upright(reading, reading.outline_px)),
        axis=_upright(reading, reading.answer.get("axis_px")),
        fat_line=_upright(reading, reading.answer.get("fat_line_px")),
    )


def upright_size(photograph: Photograph, orientation: int) -> tuple[int, int]:
    """Width and height of the picture the right way up."""
    size = (photograph.width_px, photograph.height_px)
    return size[::-1] if orientation in SWAPPED else size


def _upright(reading: FaceReading, points: list[list[float]] | None) -> tuple[Point, ...]:
    if not points or reading.photograph is None:
        return ()
    size = (reading.photograph.width_px, reading.photograph.height_px)
    turned = point_to_upright(_array(points), size, reading.answer.get("orientation", 1))
    return tuple((round(float(x), 1), round(float(y), 1)) for x, y in turned)


def stored_points(reading: FaceReading, points: list[list[float]]) -> list[list[float]]:
    """Points of the upright picture in the stored one's pixels, as services take them."""
    photograph = reading.photograph
    if photograph is None:
        raise ValueError("a reading by hand has no picture")
    size = (photograph.width_px, photograph.height_px)
    stored: list[list[float]] = point_to_stored(
        _array(points), size, reading.answer.get("orientation", 1)
    ).tolist()
    return stored


def _array(points: list[list[float]]) -> NDArray[np.float64]:
    import numpy as np

    return np.array(points, dtype=np.float64)


def _thinned(outline: tuple[Point, ...]) -> tuple[Point, ...]:
    """So many points evenly along the outline that a page draws it well."""
    if len(outline) <= MOST_DRAWN:
        return outline
    from gambrel.ribface.geometry import resampled

    return tuple(
        (round(float(x), 1), round(float(y), 1))
        for x, y in resampled(_array(list(map(list, outline))), MOST_DRAWN)
    )
