"""Make the demo's photographs: a left and a right rib face for each animal, read well and alike.

    python tools/faces/demo_faces.py --out src/gambrel/files/demo_faces

Seeds are held-back ones, so the network has never seen them. Of the seeds that suit a kind, two are paired that
agree in area and fat; both are rendered and read, and a pair that is not read within the bars is passed over.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2

sys.path.insert(0, str(Path(__file__).resolve().parent))

from render import render_face, shapes
from render.plan import make_plan
from render.truth import fat_line

SIZE = (2016, 1512)
QUALITY = 80
DIFFICULTY = "easy"
LARGEST_BYTES = 500_000  # those of bison and grass are far smaller: 18 stay under 6 MB
HALVES = ("left", "right")
LETTERS = {"bison": "B", "grass": "G", "grain": "C", "wagyu": "W"}
ANIMALS = {"bison": 3, "grass": 2, "grain": 2, "wagyu": 2}
FIRST_SEED = {"bison": 55_000_000, "grass": 55_100_000, "grain": 55_200_000, "wagyu": 55_300_000}
SEEDS_TRIED = 4_000

MOST_AREA_OFF = 0.04
MOST_FAT_OFF_MM = 1.6
MOST_MARBLING_OFF = (1.6, 4.0)  # points of the eye's area, below 15 % and above
# what one photograph may be off: 1.6 times what the reader may be off on average, for fat and marbling

# kind: ribeye cm2, fat mm, marbling share, each from and to; our own choice of what suits the kind
SUITS = {
    "bison": ((60, 85), (4, 14), (0.01, 0.05)),
    "grass": ((65, 85), (4, 14), (0.015, 0.07)),
    "grain": ((80, 105), (8, 20), (0.04, 0.13)),
    "wagyu": ((75, 105), (15, 28), (0.14, 0.34)),
}


@dataclass(frozen=True)
class Face:
    """What a seed would show, before it is painted."""

    seed: int
    half: str
    area_cm2: float
    fat_mm: float
    marbling_share: float

    def alike(self, other: Face) -> bool:
        return (
            abs(self.area_cm2 / other.area_cm2 - 1) <= 0.05
            and abs(self.fat_mm - other.fat_mm) <= 2.5
            and abs(self.marbling_share / other.marbling_share - 1) <= 0.25
        )


def suited(kind: str) -> Iterator[Face]:
    """The seeds whose face suits the kind, in order."""
    for seed in range(FIRST_SEED[kind], FIRST_SEED[kind] + SEEDS_TRIED):
        plan = make_plan(seed, SIZE, difficulty=DIFFICULTY, kind=kind, want="good")
        line = None if plan.face is None else fat_line(plan.face)
        if plan.face is None or plan.face.layout != "side" or line is None:
            continue
        area_cm2 = float(shapes.area(plan.face.eye)) / 100
        fat_mm = float(((line[0] - line[1]) ** 2).sum() ** 0.5)
        values = (area_cm2, fat_mm, plan.marbling_share)
        if all(low <= value <= high for value, (low, high) in zip(values, SUITS[kind], strict=True)):
            yield Face(seed, plan.side, *values)


def photograph(kind: str, seed: int) -> tuple[bytes, dict[str, Any]]:
    """The JPEG bytes of a seed, and its truth."""
    made = render_face(seed, size=SIZE, difficulty=DIFFICULTY, kind=kind, want="good")
    good, data = cv2.imencode(".jpg", made.bgr, [cv2.IMWRITE_JPEG_QUALITY, QUALITY])
    if not good:
        raise OSError(f"seed {seed} could not be written as JPEG")
    return data.tobytes(), made.truth


def misread(data: bytes, truth: dict[str, Any]) -> str | None:
    """Why the photograph is no use for the demo; None when it is read within the bars."""
    from gambrel.files.ribface_reading import read_photograph

    if len(data) > LARGEST_BYTES:
        return f"{len(data)} bytes"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "face.jpg"
        path.write_bytes(data)
        try:
            read = read_photograph(path)
        except cv2.error as broken:
            return f"the reader broke: {broken}"
    if (
        read.refused is not None
        or read.ribeye_cm2 is None
        or read.fat_mm is None
        or read.marbling_pct is None
    ):
        return f"not read: {read.reason}"
    off = abs(read.ribeye_cm2.mean / truth["eye_area_cm2"] - 1)
    fat_off = abs(read.fat_mm.mean - truth["fat_thickness_mm"])
    marbling_off = abs(read.marbling_pct.mean - truth["marbling_percent"])
    most = MOST_MARBLING_OFF[truth["marbling_percent"] >= 15]
    if off > MOST_AREA_OFF or fat_off > MOST_FAT_OFF_MM or marbling_off > most:
        return f"area off {100 * off:.1f} %, fat {fat_off:.1f} mm, marbling {marbling_off:.1f} points"
    return None


def pairs(kind: str) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Left and right that are alike and both read well; each with its bytes under `data`."""
    waiting: list[tuple[Face, dict[str, Any]]] = []
    for face in suited(kind):
        data, truth = photograph(kind, face.seed)
        why = misread(data, truth)
        print(f"{kind} {face.seed} {face.half} {len(data) // 1000} kB: {why or 'good'}", flush=True)
        if why is not None:
            continue
        entry = {
            "half": face.half, "kind": kind, "seed": face.seed, "data": data,
            "ribeye_cm2": truth["eye_area_cm2"], "fat_mm": truth["fat_thickness_mm"],
            "marbling_pct": truth["marbling_percent"],
        }  # fmt: skip
        for place, (other, theirs) in enumerate(waiting):
            if other.half != face.half and other.alike(face):
                waiting.pop(place)
                left, right = (entry, theirs) if face.half == "left" else (theirs, entry)
                yield left, right
                break
        else:
            waiting.append((face, entry))


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="The demo's photographs and their index.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--kind", choices=list(ANIMALS), help="this kind alone")
    given = parser.parse_args(arguments)
    given.out.mkdir(parents=True, exist_ok=True)
    index_file = given.out / "index.json"
    index = json.loads(index_file.read_text("utf-8")) if index_file.exists() else {}
    kept = [one for one in index.get("photographs", []) if given.kind not in (None, one["kind"])]
    for kind in [given.kind] if given.kind else ANIMALS:
        found = pairs(kind)
        for number in range(1, ANIMALS[kind] + 1):
            for entry in next(found):
                animal = f"{LETTERS[kind]}{number}"
                name = f"{animal}-{entry['half']}.jpg"
                (given.out / name).write_bytes(entry.pop("data"))
                kept.append({"file": name, "animal": animal, **entry})
    index = {"size": list(SIZE), "quality": QUALITY, "difficulty": DIFFICULTY, "photographs": kept}
    index_file.write_text(json.dumps(index, indent=1) + "\n", encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
