"""Make a folder of rendered faces: NAME.jpg, NAME.json with the truth, and the classes as NAME_labels.png.

    python tools/faces/make_set.py --out FOLDER --first 50000000 --count 300 --want good

Training seeds are 0 to 9,999,999; held-back seeds begin at 50,000,000. A range may not touch both.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
from dataclasses import dataclass
from pathlib import Path

import cv2

sys.path.insert(0, str(Path(__file__).resolve().parent))

from render import REASONS, WANTS, render_face

TRAINING_SEEDS = range(10_000_000)
HELD_BACK_SEEDS = range(50_000_000, 60_000_000)


@dataclass(frozen=True)
class Order:
    """What to make: one picture for each seed."""

    out: Path
    size: tuple[int, int]
    difficulty: str
    kind: str | None
    want: str
    labels: bool


def check_seeds(first: int, count: int) -> None:
    """Refuse a range that leaves its own kind of seeds."""
    last = first + count - 1
    if not any(first in seeds and last in seeds for seeds in (TRAINING_SEEDS, HELD_BACK_SEEDS)):
        raise SystemExit(
            f"seeds {first} to {last}: wanted inside {TRAINING_SEEDS.start} to {TRAINING_SEEDS.stop - 1} (training) "
            f"or {HELD_BACK_SEEDS.start} to {HELD_BACK_SEEDS.stop - 1} (held back)"
        )


def turned(size: tuple[int, int], seed: int) -> tuple[int, int]:
    """Every third picture is taken upright."""
    return (size[1], size[0]) if seed % 3 == 0 else size


def make_one(order: Order, seed: int) -> str:
    """Render and write one seed; gives the file's stem."""
    cv2.setNumThreads(1)
    want = f"bad:{REASONS[seed % len(REASONS)]}" if order.want == "bad" else order.want
    made = render_face(
        seed, size=turned(order.size, seed), difficulty=order.difficulty, kind=order.kind, want=want
    )
    stem = f"{made.truth['kind']}_{want.replace(':', '-')}_{seed:08d}"
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(made.truth["jpeg_quality"])]
    if not cv2.imwrite(str(order.out / f"{stem}.jpg"), made.bgr, quality):
        raise OSError(f"could not write {order.out / stem}.jpg")
    truth = made.truth | {"photo": f"{stem}.jpg", "difficulty": order.difficulty}
    (order.out / f"{stem}.json").write_text(json.dumps(truth) + "\n", encoding="utf-8")
    if order.labels:
        cv2.imwrite(str(order.out / f"{stem}_labels.png"), made.labels)
    return stem


def _work(job: tuple[Order, int]) -> str:
    return make_one(*job)


def parse(arguments: list[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(description="Rendered rib faces with their truth.")
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--first", type=int, required=True, help="first seed")
    parser.add_argument("--count", type=int, required=True)
    parser.add_argument("--size", default="4032x3024", help="WIDTHxHEIGHT in px")
    parser.add_argument("--difficulty", default="normal", choices=["easy", "normal", "hard", "wild"])
    parser.add_argument("--kind", choices=["bison", "grass", "grain", "wagyu"])
    parser.add_argument("--want", default="good", choices=[*WANTS, "bad"], help="bad: every reason in turn")
    parser.add_argument("--labels", action="store_true", help="write the classes too")
    parser.add_argument("--workers", type=int, default=1)
    return parser.parse_args(arguments)


def main(arguments: list[str] | None = None) -> int:
    given = parse(arguments)
    check_seeds(given.first, given.count)
    width, height = (int(part) for part in given.size.split("x"))
    given.out.mkdir(parents=True, exist_ok=True)
    order = Order(given.out, (width, height), given.difficulty, given.kind, given.want, given.labels)
    jobs = [(order, seed) for seed in range(given.first, given.first + given.count)]
    if given.workers == 1:
        for job in jobs:
            _work(job)
    else:
        with multiprocessing.get_context("spawn").Pool(given.workers) as pool:
            for _ in pool.imap_unordered(_work, jobs):
                pass
    print(f"{len(jobs)} pictures in {given.out}")
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
