"""The rib-face photographs that a week file names, read before the week is planned.

A figure that was typed wins over the photograph. What neither gives is left out; the kind's usual stands in.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from gambrel.catalog.animal import FAT_MM_LIMITS, RIBEYE_CM2_LIMITS
from gambrel.files.ribface_batch import Job, cores, read_here
from gambrel.files.ribface_reading import ByHand, FaceReading
from gambrel.measures import Estimate, Finding, Findings
from gambrel.measures.units import AREA, LENGTH, NotAQuantity, read_quantity
from gambrel.standards.marbling import score_of_words

PHOTOGRAPHS = {"photograph": None, "photograph_left": "left", "photograph_right": "right"}
"""Field of an animal to the side that its photograph shows; None where no side is named."""

FEW = 3
"""Photographs that are read sooner one after the other than by processes that first have to start."""


@dataclass(frozen=True)
class FaceOfSide:
    """One photograph of the week file: the animal, the field that named it, the path as typed, what it says."""

    animal: str
    named_by: str
    photo: str
    reading: FaceReading

    @property
    def half(self) -> str | None:
        """left or right; None where the photograph is of the animal and no side is named."""
        return PHOTOGRAPHS[self.named_by]

    @property
    def side(self) -> str:
        """The side as the plan calls it, C1-left; the animal alone where no side is named."""
        return self.animal if self.half is None else f"{self.animal}-{self.half}"

    def as_json(self) -> dict[str, Any]:
        """The reading as `gambrel ribface --json` gives it, less the time it took."""
        said = {name: value for name, value in self.reading.as_json().items() if name != "seconds"}
        return {"animal": self.animal, "side": self.half, **said, "photo": self.photo}


@dataclass(frozen=True)
class WeekFaces:
    """Every face of the week in the file's order, what to say about them, and the pictures drawn of them."""

    faces: tuple[FaceOfSide, ...] = ()
    findings: tuple[Finding, ...] = ()
    pictures: tuple[Path, ...] = field(default=())

    def marbling_pct(self) -> dict[str, float]:
        """Animal to its marbling [% of the eye], the mean of the faces that were read."""
        said: dict[str, list[float]] = {}
        for face in self.faces:
            if face.reading.marbling_pct is not None:
                said.setdefault(face.animal, []).append(face.reading.marbling_pct.mean)
        return {animal: sum(values) / len(values) for animal, values in said.items()}


@dataclass(frozen=True)
class _Figure:
    """A field of the animal that a photograph may fill: how it is read, written and compared."""

    field: str
    of: Callable[[FaceReading], Estimate | None]
    written: Callable[[float], str | float]
    typed: Callable[[Any], float | None]
    limits: tuple[float, float]
    said: str


def _typed_quantity(dimension: Any) -> Callable[[Any], float | None]:
    def read(raw: Any) -> float | None:
        value = read_quantity(raw, dimension)
        return None if isinstance(value, NotAQuantity) else value

    return read


def _typed_score(raw: Any) -> float | None:
    if isinstance(raw, str):
        by_words = score_of_words(raw)
        return None if by_words is None else by_words[0]
    return float(raw) if isinstance(raw, (int, float)) and not isinstance(raw, bool) else None


_FIGURES = (
    _Figure("fat", lambda face: face.fat_mm, lambda mm: f"{mm:.3f}mm", _typed_quantity(LENGTH), FAT_MM_LIMITS,
            "{:.1f} mm"),
    _Figure("ribeye", lambda face: face.ribeye_cm2, lambda cm2: f"{cm2:.3f}cm2", _typed_quantity(AREA),
            RIBEYE_CM2_LIMITS, "{:.1f} cm2"),
    _Figure("marbling", lambda face: face.marbling_score, lambda score: round(score, 1), _typed_score,
            (0.0, 1000.0), "a score of {:.0f}"),
)  # fmt: skip


def names_photographs(fields: Mapping[str, Any]) -> bool:
    """Whether any animal of the week file names a photograph."""
    return any(True for _ in _named(fields))


def read_week_photographs(
    fields: Mapping[str, Any],
    folder: Path,
    *,
    pictures: Path | None = None,
    progress: Callable[[int, int, str], None] = lambda number, count, side: None,
) -> tuple[dict[str, Any], WeekFaces]:
    """The fields of the week file with fat, ribeye and marbling filled in, and the readings they come from.

    `fields` are the file's own tables and stay as they are. Photographs are looked for from `folder`, the week
    file's; with `pictures`, what was measured is drawn into a JPEG file there for each. Nothing is raised for a
    bad photograph: it is a finding, and the week goes on. `progress` is told number, count and side.
    """
    from gambrel.files.week_folder import file_names

    named = list(_named(fields))
    wished = [f"{animal}-{half}" if (half := PHOTOGRAPHS[by]) else animal for animal, by, _ in named]
    places = [pictures / f"{name}.jpg" if pictures else None for name in file_names(wished)]
    jobs = [Job(folder / photo, place) for (_, _, photo), place in zip(named, places, strict=True)]
    faces = []
    answers = read_here(jobs, ByHand(), processes=cores() if len(jobs) > FEW else 1)
    for (animal, named_by, photo), answer in zip(named, answers, strict=True):
        faces.append(FaceOfSide(animal, named_by, photo, answer))
        progress(len(faces), len(jobs), faces[-1].side)
    findings = Findings()
    filled = _fill(fields, faces, findings)
    drawn = tuple(
        place
        for place, face in zip(places, faces, strict=True)
        if place is not None and face.reading.refused is None and place.is_file()
    )
    return filled, WeekFaces(tuple(faces), tuple(findings), drawn)


def _animals(fields: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Name and fields of each animal that is written as one; the reader of the week says what is wrong with others."""
    animals = fields.get("animal")
    for one in animals if isinstance(animals, list) else []:
        if isinstance(one, Mapping) and str(one.get("id", "")).strip():
            yield str(one["id"]).strip(), one


def _named(fields: Mapping[str, Any]) -> Iterator[tuple[str, str, str]]:
    """Animal, field and path of every photograph."""
    for name, animal in _animals(fields):
        for named_by in PHOTOGRAPHS:
            photo = animal.get(named_by)
            if isinstance(photo, str) and photo.strip():
                yield name, named_by, photo.strip()


def _fill(fields: Mapping[str, Any], faces: Sequence[FaceOfSide], findings: Findings) -> dict[str, Any]:
    """The fields again, each animal with what its faces say; findings about faces refused and figures apart."""
    if not faces:
        return dict(fields)
    of_animal: dict[str, list[FaceOfSide]] = {}
    for face in faces:
        of_animal.setdefault(face.animal, []).append(face)
    animals = []
    for one in fields["animal"]:
        name = str(one.get("id", "")).strip() if isinstance(one, Mapping) else ""
        animals.append({**one, **_filled(one, of_animal[name], findings)} if name in of_animal else one)
    return {**fields, "animal": animals}


def _filled(
    animal: Mapping[str, Any], faces: Sequence[FaceOfSide], findings: Findings
) -> dict[str, str | float]:
    read = [face for face in faces if face.reading.refused is None]
    for face in faces:
        if face.reading.refused is not None:
            _say_refused(face, bool(read), findings)
    values: dict[str, str | float] = {}
    for figure in _FIGURES:
        said = [estimate for face in read if (estimate := figure.of(face.reading)) is not None]
        if not said:
            continue
        mean, low, high = (
            sum(getattr(one, end) for one in said) / len(said) for end in ("mean", "p05", "p95")
        )
        typed = animal.get(figure.field)
        if typed is not None and str(typed).strip():
            _compare(faces[0].animal, figure, typed, Estimate(mean, low, high), findings)
        elif figure.limits[0] <= mean <= figure.limits[1]:
            values[figure.field] = figure.written(mean)
    return values


def _say_refused(face: FaceOfSide, other_read: bool, findings: Findings) -> None:
    refused = face.reading.refused
    assert refused is not None
    stands_in = (
        "The other side's reading stands in." if other_read else "What was typed or is usual stands in."
    )
    findings.add(
        f"animal {face.animal}, {face.named_by}", f"{face.photo}: {refused.given}", refused.wanted,
        f"{refused.do} {stands_in}",
    )  # fmt: skip


def _compare(animal: str, figure: _Figure, raw: Any, read: Estimate, findings: Findings) -> None:
    """A finding where what was typed lies outside the interval of the reading; the typed figure stays."""
    typed = figure.typed(raw)
    if typed is None or read.p05 <= typed <= read.p95:
        return
    low, high = figure.said.format(read.p05), figure.said.format(read.p95)
    findings.add(
        f"animal {animal}, {figure.field}", raw, f"{low} to {high}, as the photograph says",
        "The typed figure is used. Measure again, or take it out to go by the photograph.",
    )  # fmt: skip
