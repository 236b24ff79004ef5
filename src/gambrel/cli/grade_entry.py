"""What a person typed about one rib face, as a value for the formulas; every slip is a finding."""

from __future__ import annotations

import re
from collections.abc import Mapping

from gambrel.catalog.animal import Animal, read_animal
from gambrel.catalog.grading import face_of
from gambrel.catalog.kinds import Kind
from gambrel.measures import Entry
from gambrel.measures.units import AREA, LENGTH, NotAQuantity, read_quantity
from gambrel.standards.canada import MUSCLE_SCORES
from gambrel.standards.carcass_grades import RibFace, SixthRib
from gambrel.standards.ribeye_area import dot_area_in2

STAND_IN = {"hot": "300kg", "fat": "10mm", "ribeye": "80cm2"}
"""Keeps a reading that was complained of from being called missing as well; such an entry is never graded."""

_NEEDED = {"fat": "a thickness such as 0.40in", "ribeye": "an area such as 12.8in2, or a dot count"}
_DOTS = re.compile(r"\s*(\d{1,5})\s*[,;]\s*(\d{1,5})\s*", re.ASCII)
_SIXTH_RIB = ((AREA, 10.0, 150.0), (LENGTH, 20.0, 150.0), (LENGTH, 0.0, 100.0))


def read_face(entry: Entry, kinds: Mapping[str, Kind]) -> RibFace | None:
    """The rib face from quantities typed with their unit; None with at least one finding added."""
    before = len(entry.findings)
    entry = _with_dots(entry)
    for name, example in _NEEDED.items():
        if not entry.has(name):
            entry.wrong(name, "nothing", example, "Read it at the cut face: no yield grade without it.")
    animal = read_animal(entry, kinds)
    teeth = entry.whole("teeth", low=0, high=8, what="permanent incisors, 0 to 8")
    ph = entry.number("ph", low=4.5, high=8.0, what="a muscle pH such as 5.6")
    low, high = MUSCLE_SCORES[0], MUSCLE_SCORES[-1]
    score = entry.number("muscle_score", low=low, high=high, what="a score from 1 to 4")
    sixth = _sixth_rib(entry, animal)
    if animal is None or len(entry.findings) > before:
        return None
    return face_of(animal, permanent_incisors=teeth, ph=ph, muscle_score=score, sixth_rib=sixth)


def _with_dots(entry: Entry) -> Entry:
    """The entry with a dot count turned into a ribeye area."""
    if not entry.has("dots"):
        return entry
    typed = entry.raw("dots")
    match = _DOTS.fullmatch(str(typed))
    if entry.has("ribeye"):
        entry.wrong("dots", typed, "either dots or ribeye", "Take one of the two out.")
        return entry
    if match is None:
        entry.wrong("dots", typed, "dots inside and dots on the edge, such as 98,9", "Count both.")
        area = STAND_IN["ribeye"]
    else:
        area = f"{dot_area_in2(interior=int(match[1]), boundary=int(match[2])):.6g}in2"
    return Entry(dict(entry.fields) | {"ribeye": area}, entry.where, entry.findings)


def _sixth_rib(entry: Entry, animal: Animal | None) -> SixthRib | None:
    bms = entry.whole("bms", low=1, high=12, what="a beef marbling standard number, 1 to 12")
    if not entry.has("sixth_rib"):
        if bms is not None:
            entry.wrong("bms", bms, "sixth_rib beside it", "Give the readings at the 6th rib as well.")
        return None
    typed = entry.raw("sixth_rib")
    good: list[float] = []
    parts = str(typed).split(",")
    for part, (dimension, low, high) in zip(parts, _SIXTH_RIB, strict=False):
        value = read_quantity(part, dimension)
        if not isinstance(value, NotAQuantity) and low <= value <= high:
            good.append(value)
    if len(parts) != 3 or len(good) != 3:
        wanted = "ribeye, rib thickness and fat such as 40.8cm2,6.7cm,3.1cm"
        entry.wrong("sixth_rib", typed, wanted, "Read all three between the 6th and 7th rib.")
        return None
    area_cm2, rib_mm, fat_mm = good
    breed = animal is not None and animal.kind.like == "wagyu"
    return SixthRib(area_cm2, rib_mm / 10, fat_mm / 10, beef_breed=breed, bms=bms)
