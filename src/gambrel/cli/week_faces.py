"""What `gambrel week` prints of the rib-face photographs that the week file names: a line a side."""

from __future__ import annotations

from gambrel.files.drawing import say
from gambrel.files.week_photographs import FaceOfSide, WeekFaces
from gambrel.measures import Estimate


def print_faces(faces: WeekFaces) -> None:
    """A line for each photograph; nothing where none is named."""
    if not faces.faces:
        return
    print("\nRib faces, read from photographs (in brackets the range that holds it nine times in ten):")
    for face in faces.faces:
        print(f"  {face_line(face)}")
    sides: dict[str, list[str]] = {}
    for face in faces.faces:
        for warning in face.reading.warnings:
            sides.setdefault(warning, []).append(face.side)
    for warning, of in sides.items():
        print(f"  look at {', '.join(of)}: {warning}")


def face_line(face: FaceOfSide) -> str:
    """C1-left: ribeye 82.6 cm2 (80.9-84.3), fat 12.1 mm (11.0-13.2), marbling 5.1 % (4.2-6.0), estimate."""
    read = face.reading
    if read.refused is not None:
        return f"{face.side}: not read, {read.refused.given}"
    said = [
        _figure("ribeye", read.ribeye_cm2, "cm2"),
        _figure("fat", read.fat_mm, "mm"),
        _figure("marbling", read.marbling_pct, "%"),
    ]
    return f"{face.side}: {', '.join(said)}, estimate"


def _figure(name: str, estimate: Estimate | None, unit: str) -> str:
    if estimate is None:
        return f"{name} not read"
    mean, low, high = (say.plain(end) for end in (estimate.mean, estimate.p05, estimate.p95))
    return f"{name} {mean} {unit} ({low}-{high})"
