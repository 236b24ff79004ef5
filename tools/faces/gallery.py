"""Write docs/gallery.md and its pictures: every stage of a reading, four kinds, and what goes wrong.

    python tools/faces/gallery.py

Every figure and every sentence on the page is what `gambrel ribface` answered when the page was made.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import textwrap
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
from click.testing import CliRunner

sys.path.insert(0, str(Path(__file__).resolve().parent))

from gallery_stages import Picture, fitted, stages
from gallery_words import CHOSEN, CLOSING, KINDS, OPENING, STAGES, WRONG
from render import render_face

from gambrel.cli.main import main as gambrel
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading
from gambrel.ribface.refuse import Reason

DOCS = Path(__file__).resolve().parents[2] / "docs"
STAGE_SEED, EXAMPLE_SEED = 50_000_231, 50_000_234
KIND_SEEDS = {"bison": 50_000_242, "grass": 50_000_209, "grain": 50_000_240, "wagyu": 50_000_241}
FIRST_WRONG_SEED = 50_001_000
TRIES = 40
STRONGER = {"too_dark": ("hard", (1200, 900))}
"""A dark picture is mostly said to be blurred: its edges drown first. Only the darkest are called dark."""
SIZE, EXAMPLE_SIZE = (1600, 1200), (1200, 900)
MOST_BYTES = 120_000


@dataclass(frozen=True)
class Answer:
    """What the program said to a rendered face: its JSON, and the picture it drew, if any."""

    said: dict[str, Any]
    drawn: Picture | None


def ask(bgr: Picture, folder: Path) -> Answer:
    """`gambrel ribface face.jpg --json --picture drawn.png` in a folder."""
    photo, drawn = folder / "face.jpg", folder / "drawn.png"
    drawn.unlink(missing_ok=True)
    cv2.imwrite(str(photo), bgr, [cv2.IMWRITE_JPEG_QUALITY, 92])
    words = ["ribface", str(photo), "--json", "--picture", str(drawn)]
    result = CliRunner().invoke(gambrel, words)
    if not isinstance(result.exception, SystemExit | None):
        raise result.exception
    picture = cv2.imread(str(drawn)) if drawn.exists() else None
    return Answer(json.loads(result.stdout), None if picture is None else picture.astype(np.uint8))


def keep(picture: Picture, place: Path, *, wide_px: int = 900) -> None:
    """A JPEG of at most `MOST_BYTES`."""
    small = fitted(picture, wide_px)
    for quality in range(88, 30, -6):
        data = cv2.imencode(".jpg", small, [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
        if len(data) <= MOST_BYTES:
            place.write_bytes(data)
            return
    raise ValueError(f"{place.name} does not fit into {MOST_BYTES:,} bytes")


def stage_lines(out: Path, folder: Path) -> list[str]:
    """Every stage of one face, with its picture."""
    answer = ask(render_face(STAGE_SEED, size=SIZE, difficulty="easy", kind="grain", want="good").bgr, folder)
    bgr = np.asarray(cv2.imread(str(folder / "face.jpg")), dtype=np.uint8)
    reading = read_ribface(bgr)
    if not isinstance(reading, Reading):
        raise ValueError(reading.sentence())
    pictures = dict(stages(bgr, reading))
    if answer.drawn is None:
        raise ValueError(answer.said["reason"])
    pictures["finished"] = answer.drawn
    lines = []
    for number, (name, (title, words)) in enumerate(STAGES.items(), start=1):
        keep(pictures[name], out / "gallery" / f"{number}-{name}.jpg")
        lines += [
            f"### {number}. {title}",
            "",
            textwrap.fill(words, 118),
            "",
            f"![{title}](gallery/{number}-{name}.jpg)",
            "",
        ]
    return lines


def kind_lines(out: Path, folder: Path) -> list[str]:
    """Four kinds as read, and beside each figure the one the face was drawn with."""
    pictures, rows = [], []
    for kind, seed in KIND_SEEDS.items():
        made = render_face(seed, size=SIZE, difficulty="easy", kind=kind, want="good")
        answer = ask(made.bgr, folder)
        if answer.drawn is None:
            raise ValueError(f"{kind}: {answer.said['reason']}")
        keep(answer.drawn, out / "gallery" / f"kind-{kind}.jpg", wide_px=600)
        pictures.append(f"![{KINDS[kind]}](gallery/kind-{kind}.jpg)")
        said, truth = answer.said, made.truth
        fat = "not found" if said["fat_mm"] is None else f"{said['fat_mm']:.1f} mm"
        rows.append(
            f"| {KINDS[kind]} | {said['ribeye_cm2']:.1f} cm2 ({truth['eye_area_cm2']:.1f}) "
            f"| {fat} ({truth['fat_thickness_mm']:.1f}) "
            f"| {said['marbling_pct']:.1f} % ({truth['marbling_percent']:.1f}) |"
        )
    table = ["| kind | ribeye read (drawn) | fat read (drawn) | marbling read (drawn) |",
             "| --- | --- | --- | --- |", *rows, ""]  # fmt: skip
    head = f"| {' | '.join(KINDS.values())} |"
    return [head, "| --- | --- | --- | --- |", f"| {' | '.join(pictures)} |", "", *table]


def keep_face(place: Path) -> None:
    """The small photograph that the guide's example reads: another face, no larger than a message service leaves it."""
    bgr = render_face(EXAMPLE_SEED, size=EXAMPLE_SIZE, difficulty="easy", kind="grain", want="good").bgr
    cv2.imwrite(str(place), bgr, [cv2.IMWRITE_JPEG_QUALITY, 85])


def wrong_answer(want: str, reason: Reason, folder: Path) -> tuple[Picture, str]:
    """A face that goes wrong this way and the sentence that it got.

    The first seed that is refused for this reason; a picture may have more than one fault, and the first
    that is met is the one that is said.
    """
    difficulty, size = STRONGER.get(want, ("easy", SIZE))
    for seed in range(FIRST_WRONG_SEED, FIRST_WRONG_SEED + TRIES):
        bgr = render_face(seed, size=size, difficulty=difficulty, want=f"bad:{want}").bgr
        said = ask(bgr, folder).said
        if said["refused"] and said["reason"].startswith(reason.sentence):
            return bgr, said["reason"]
    raise ValueError(f"none of {TRIES} faces of {want} was refused with: {reason.sentence}")


def wrong_lines(out: Path, folder: Path) -> list[str]:
    lines = []
    for want, (title, reason, words) in WRONG.items():
        bgr, sentence = wrong_answer(want, reason, folder)
        name = f"wrong-{want.replace('_', '-')}.jpg"
        keep(bgr, out / "gallery" / name, wide_px=600)
        lines += [f"### {title}", "", f"![{title}](gallery/{name})", "", f"> {sentence}", "", words, ""]
    return lines


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="The picture gallery of the guide.")
    parser.add_argument("--out", type=Path, default=DOCS, help="folder of the guide")
    out = parser.parse_args(arguments).out
    (out / "gallery").mkdir(parents=True, exist_ok=True)
    cv2.setNumThreads(1)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        lines = [OPENING, *stage_lines(out, folder), "## Four kinds", "", CHOSEN, *kind_lines(out, folder)]
        lines += ["## What goes wrong", "", *wrong_lines(out, folder), CLOSING]
    keep_face(out / "gallery" / "face.jpg")
    (out / "gallery.md").write_text("\n".join(lines), encoding="utf-8")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
