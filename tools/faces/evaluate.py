"""Read a folder of rendered faces with known truth and print how far off every figure is.

Usage: python tools/faces/evaluate.py FOLDER [--outline truth|found] [--chine truth|found] [--odd] [--limit N]

FOLDER holds NAME.jpg and NAME.json pairs. With `--outline truth` the eye's outline is taken from the truth, which
leaves the errors of measuring alone.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np

from gambrel.ribface.outline import OutlineFinder, filled, overlap
from gambrel.ribface.outline_classic import find_eye_classic
from gambrel.ribface.outline_net import find_eye
from gambrel.ribface.read import read_ribface
from gambrel.ribface.reading import Reading

MASK_SHARE = 0.25
"""Masks for the overlap are drawn at this share of the picture."""


FINDERS: dict[str, OutlineFinder] = {"network": find_eye, "colour": find_eye_classic}


@dataclass(frozen=True)
class Row:
    """One photograph: truth, reading, and how long it took against decoding."""

    photo: str
    kind: str
    refused: str | None
    must_refuse: bool
    why: str = ""
    area_cm2: tuple[float, float] | None = None
    fat_mm: tuple[float, float] | None = None
    marbling_pct: tuple[float, float] | None = None
    iou: float | None = None
    lean_lab_gap: tuple[float, ...] | None = None
    fat_lab_gap: tuple[float, ...] | None = None
    held: tuple[bool | None, ...] = ()
    chine_right: bool | None = None
    decode_s: float = 0.0
    read_s: float = 0.0
    times_s: dict[str, float] | None = None
    warnings: tuple[str, ...] = ()


def evaluate(path: Path, *, finder: OutlineFinder, true_outline: bool, true_chine: bool) -> Row:
    """Read the photograph beside a truth file and compare."""
    truth = json.loads(path.read_text())
    stored = path.with_suffix(".jpg").read_bytes()
    start = time.process_time()
    picture = cv2.imdecode(np.frombuffer(stored, np.uint8), cv2.IMREAD_COLOR)
    decode_s = time.process_time() - start
    if picture is None:
        raise SystemExit(f"{path.with_suffix('.jpg')} cannot be decoded")
    start = time.process_time()
    reading = read_ribface(
        np.asarray(picture, dtype=np.uint8),
        outline=np.array(upright(truth, "eye_outline_px")) if true_outline else None,
        chine=_towards(truth) if true_chine else None,
        outline_finder=finder,
        clock=time.process_time,
    )
    read_s = time.process_time() - start
    name, kind = path.stem, str(truth.get("kind"))
    must = bool(truth.get("must_refuse"))
    why = str(truth.get("refuse_reason") or "")
    if not isinstance(reading, Reading):
        said = reading.sentence()
        return Row(name, kind, said, must, why, decode_s=decode_s, read_s=read_s)
    if must:
        return Row(name, kind, None, must, why, decode_s=decode_s, read_s=read_s)
    return _compare(name, kind, must, truth, reading, picture.shape[:2], decode_s, read_s)


def _compare(
    name: str,
    kind: str,
    must: bool,
    truth: dict[str, Any],
    reading: Reading,
    shape: tuple[int, ...],
    decode_s: float,
    read_s: float,
) -> Row:
    pairs = {
        "area_cm2": _pair(truth["eye_area_cm2"], reading.ribeye_cm2),
        "fat_mm": _pair(truth["fat_thickness_mm"], reading.fat_mm),
        "marbling_pct": _pair(truth["marbling_percent"], reading.marbling_pct),
    }
    intervals = (reading.ribeye_cm2_interval, reading.fat_mm_interval, reading.marbling_pct_interval)
    held = tuple(
        None if i is None or p is None else bool(i[0] <= p[0] <= i[1])
        for i, p in zip(intervals, pairs.values(), strict=True)
    )
    size = (round(shape[0] * MASK_SHARE), round(shape[1] * MASK_SHARE))
    masks = [
        filled(np.asarray(o) * MASK_SHARE, size)
        for o in (upright(truth, "eye_outline_px"), reading.outline_px)
    ]
    return Row(
        photo=name,
        kind=kind,
        refused=None,
        must_refuse=must,
        iou=overlap(*masks),
        lean_lab_gap=_gap(reading.lean_lab, truth["lean_lab"]),
        fat_lab_gap=_gap(reading.fat_lab, truth["fat_lab"]),
        held=held,
        chine_right=_chine_right(truth, reading),
        decode_s=decode_s,
        read_s=read_s,
        times_s=dict(reading.times_s),
        warnings=reading.warnings,
        area_cm2=pairs["area_cm2"],
        fat_mm=pairs["fat_mm"],
        marbling_pct=pairs["marbling_pct"],
    )


def upright(truth: dict[str, Any], name: str) -> Any:
    """Points in the upright picture; a truth without a phone's turn gives them once."""
    return truth.get(f"{name}_upright", truth[name])


def _pair(true: float | None, read: float | None) -> tuple[float, float] | None:
    return None if read is None or true is None else (float(true), float(read))


def _gap(read: tuple[float, ...] | None, true: Iterable[float]) -> tuple[float, ...] | None:
    return None if read is None else tuple(float(r - t) for r, t in zip(read, true, strict=True))


def _chine_right(truth: dict[str, Any], reading: Reading) -> bool | None:
    """Whether the fat line lies at the true end: nearer to the true line than to the other end."""
    if reading.fat_line_px is None:
        return None
    axis = np.array(upright(truth, "long_axis_px"))
    along = (reading.fat_line_px[0] - axis[0]) @ (axis[1] - axis[0]) / np.sum((axis[1] - axis[0]) ** 2)
    return bool(along > 0.5)


def _towards(truth: dict[str, Any]) -> str:
    """The side of the upright picture to which the chine end lies."""
    chine, tail = np.array(upright(truth, "long_axis_px"))
    x, y = chine - tail
    if abs(x) > abs(y):
        return "right" if x > 0 else "left"
    return "bottom" if y > 0 else "top"


def report(rows: list[Row]) -> str:
    """A table of the rows, then the figures that count."""
    lines = [
        f"{'photo':24} {'iou':>5} {'area %':>7} {'fat mm':>7} {'marb':>6} {'lean dLab':>18} {'fat dLab':>18} chine"
    ]
    read = [row for row in rows if row.refused is None and not row.must_refuse]
    lines += [_line(row) for row in rows]
    lines.append("")
    lines.append(f"read {len(read)} of {sum(not r.must_refuse for r in rows)} good; "
                 f"refused {sum(r.must_refuse and r.refused is not None for r in rows)} of "
                 f"{sum(r.must_refuse for r in rows)} bad")  # fmt: skip
    lines += _by_reason(rows)
    if read:
        lines += _summary(read)
    return "\n".join(lines)


def _by_reason(rows: list[Row]) -> list[str]:
    """How many of the bad were refused, by what was wrong with them."""
    bad = [row for row in rows if row.must_refuse]
    return [
        f"  {why}: {sum(r.refused is not None for r in bad if r.why == why)} of {sum(r.why == why for r in bad)}"
        for why in sorted({row.why for row in bad})
    ]


def _line(row: Row) -> str:
    if row.refused is not None:
        return f"{row.photo:24} refused: {row.refused}"
    if row.iou is None:
        return f"{row.photo:24} READ, though to be refused: {row.why}"
    area = "-" if row.area_cm2 is None else f"{100 * (row.area_cm2[1] / row.area_cm2[0] - 1):+.2f}"
    fat = "-" if row.fat_mm is None else f"{row.fat_mm[1] - row.fat_mm[0]:+.2f}"
    marbling = "-" if row.marbling_pct is None else f"{row.marbling_pct[1] - row.marbling_pct[0]:+.2f}"
    labs = [
        " ".join(f"{v:+5.1f}" for v in gap) if gap else "-" for gap in (row.lean_lab_gap, row.fat_lab_gap)
    ]
    figures = f"{row.iou:5.3f} {area:>7} {fat:>7} {marbling:>6} {labs[0]:>18} {labs[1]:>18}"
    return f"{row.photo:24} {figures} {row.chine_right}"


def _summary(rows: list[Row]) -> list[str]:
    area = _pairs(rows, lambda r: r.area_cm2)
    fat = _pairs(rows, lambda r: r.fat_mm)
    marbling = _pairs(rows, lambda r: r.marbling_pct)
    off = 100 * np.abs(area[:, 1] / area[:, 0] - 1)
    lean = marbling[:, 0] < 15
    gap = np.abs(marbling[:, 1] - marbling[:, 0])
    held = [_share([row.held[number] for row in rows]) for number in range(3)]
    labs = [
        np.array([g for g in gaps if g])
        for gaps in zip(*[(r.lean_lab_gap, r.fat_lab_gap) for r in rows], strict=True)
    ]
    stages = {k: np.median([(r.times_s or {}).get(k, 0.0) for r in rows]) for k in rows[0].times_s or {}}
    decode, read = np.median([r.decode_s for r in rows]), np.median([r.read_s for r in rows])
    fat_gap = np.abs(fat[:, 1] - fat[:, 0])
    return [
        f"outline IoU median {np.median([r.iou or 0 for r in rows]):.3f}, least {min(r.iou or 0 for r in rows):.3f}",
        f"area: median error {np.median(off):.2f} %, 95th {np.percentile(off, 95):.2f} %, "
        f"RMSE {np.sqrt(np.mean((area[:, 1] - area[:, 0]) ** 2)):.2f} cm2",
        f"fat: MAE {_mean(fat_gap):.2f} mm, bias {_mean(fat[:, 1] - fat[:, 0]):+.2f}, "
        f"measured {len(fat)} of {len(rows)}",
        f"marbling: MAE below 15 % {_mean(gap[lean]):.2f}, above {_mean(gap[~lean]):.2f} points",
        f"intervals hold: area {held[0]}, fat {held[1]}, marbling {held[2]}",
        f"chine end right: {_share([row.chine_right for row in rows])}",
        *(
            f"{n} Lab: bias {gap.mean(0).round(1)}, MAE {np.abs(gap).mean(0).round(1)}"
            for n, gap in zip(("lean", "fat"), labs, strict=True)
        ),
        f"decode {1000 * decode:.0f} ms, reading {1000 * read:.0f} ms (processor time), "
        f"together {(decode + read) / decode:.1f} x decode",
        "stages ms: " + ", ".join(f"{k} {1000 * v:.0f}" for k, v in stages.items()),
    ]


def _share(known: list[bool | None]) -> str:
    """How many of those that are known hold; what was not measured is neither right nor wrong."""
    counted = [each for each in known if each is not None]
    return f"{np.mean(counted):.1%} of {len(counted)}" if counted else "none"


def _mean(values: np.ndarray[Any, Any]) -> float:
    return float(values.mean()) if values.size else float("nan")


def _pairs(rows: list[Row], of: Callable[[Row], tuple[float, float] | None]) -> np.ndarray[Any, Any]:
    return np.array([pair for row in rows if (pair := of(row)) is not None]).reshape(-1, 2)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--outline", choices=("truth", "found"), default="found")
    parser.add_argument("--chine", choices=("truth", "found"), default="found")
    parser.add_argument("--finder", choices=tuple(FINDERS), default="network")
    parser.add_argument("--odd", action="store_true", help="odd seeds alone, on which nothing was fitted")
    parser.add_argument("--limit", type=int)
    parser.add_argument("--json", type=Path)
    given = parser.parse_args()
    cv2.setNumThreads(1)
    paths = sorted(p for p in given.folder.glob("*.json") if p.with_suffix(".jpg").exists())
    if given.odd:
        paths = [path for path in paths if int(path.stem.split("_")[-1]) % 2]
    paths = paths[: given.limit]
    rows = [
        evaluate(
            path,
            finder=FINDERS[given.finder],
            true_outline=given.outline == "truth",
            true_chine=given.chine == "truth",
        )
        for path in paths
    ]
    print(report(rows))
    if given.json:
        given.json.write_text(json.dumps([asdict(row) for row in rows], indent=1))


if __name__ == "__main__":
    main()
