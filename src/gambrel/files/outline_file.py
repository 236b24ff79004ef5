"""An outline drawn or corrected by hand, and the other things a person may point at in a photograph."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gambrel.files.reading import read_text
from gambrel.measures import Findings
from gambrel.measures.units import LENGTH, NotAQuantity, read_quantity

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

FEWEST_POINTS, MOST_POINTS = 6, 4000
_WANTED = 'a list of [x, y] points, or {"outline_px": [[x, y], ...]}'
_FURTHEST_PX = 100_000.0


@dataclass(frozen=True, slots=True)
class KnownLength:
    """Two points of the stored picture [px] that are `length_mm` apart on the face."""

    from_px: tuple[float, float]
    to_px: tuple[float, float]
    length_mm: float


def read_outline_file(path: Path, findings: Findings) -> NDArray[np.float64] | None:
    """Points (n, 2) in the stored picture's pixels, not closed twice; None with findings when it is no outline."""
    name = str(path)
    try:
        held: Any = json.loads(read_text(path))
    except (ValueError, RecursionError):
        findings.add(name, "text that is not JSON", _WANTED, "Save the outline as JSON.")
        return None
    return read_outline(held, name, findings)


def read_outline(held: Any, name: str, findings: Findings) -> NDArray[np.float64] | None:
    """The same from JSON that is read already; `name` is for messages."""
    import numpy as np

    if isinstance(held, dict):
        held = held.get("outline_px")
    points = [_point(item) for item in held] if isinstance(held, list) else []
    if not points or None in points:
        count = (
            f"{points.count(None)} of {len(points)} points that are not two numbers"
            if points
            else "no points"
        )
        findings.add(name, count, _WANTED, "Take the outline_px of an earlier reading and correct it.")
        return None
    outline = np.array(points, dtype=np.float64)
    if len(outline) > 1 and (outline[0] == outline[-1]).all():
        outline = outline[:-1]
    if not FEWEST_POINTS <= len(outline) <= MOST_POINTS:
        findings.add(name, f"{len(outline)} points", f"from {FEWEST_POINTS} to {MOST_POINTS}",
                     "Follow the edge of the eye with some dozens of points.")  # fmt: skip
        return None
    crossing = first_crossing(outline)
    if crossing is not None:
        findings.add(name, f"an outline that crosses itself, sides {crossing[0] + 1} and {crossing[1] + 1}",
                     "one round that never crosses itself", "Put the points in order around the eye.")  # fmt: skip
        return None
    return outline


def _point(item: Any) -> tuple[float, float] | None:
    if not isinstance(item, list) or len(item) != 2:
        return None
    if not all(isinstance(number, (int, float)) and not isinstance(number, bool) for number in item):
        return None
    if not all(
        -_FURTHEST_PX <= number <= _FURTHEST_PX for number in item
    ):  # and so not-a-number is none either
        return None
    return float(item[0]), float(item[1])


def first_crossing(outline: NDArray[np.float64]) -> tuple[int, int] | None:
    """Numbers of two sides of the closed outline that cross or touch and are not neighbours; None when none do."""
    import numpy as np

    starts, ends = outline, np.roll(outline, -1, axis=0)
    count = len(outline)
    for side in range(count - 2):
        first, last = side + 2, count - (1 if side == 0 else 0)
        if first >= last:
            continue
        a, b, c, d = starts[side], ends[side], starts[first:last], ends[first:last]
        apart = (_turn(a, b, c) * _turn(a, b, d) > 0) | (_turn(c, d, a) * _turn(c, d, b) > 0)
        low, high = np.minimum(a, b), np.maximum(a, b)
        beside = ((np.maximum(c, d) < low) | (np.minimum(c, d) > high)).any(axis=1)
        met = np.flatnonzero(~apart & ~beside)
        if len(met):
            return side, first + int(met[0])
    return None


def _turn(a: NDArray[np.float64], b: NDArray[np.float64], c: NDArray[np.float64]) -> NDArray[np.float64]:
    """Sign of the turn from a over b to c, row by row: -1, 0 or 1."""
    import numpy as np

    ab, ac = b - a, c - a
    sign: NDArray[np.float64] = np.sign(ab[..., 0] * ac[..., 1] - ab[..., 1] * ac[..., 0])
    return sign


def read_length(text: str, findings: Findings) -> KnownLength | None:
    """ "x1,y1,x2,y2,120mm": two points in stored pixels and how far apart they are."""
    wanted = "two points and a length, such as 410,900,1630,905,120mm"
    parts = text.split(",")
    numbers = _numbers(parts[:4])
    if len(parts) != 5 or numbers is None:
        findings.add("--length", text, wanted, "Write x1,y1,x2,y2 in pixels and the length with its unit.")
        return None
    length_mm = read_quantity(parts[4], LENGTH)
    if isinstance(length_mm, NotAQuantity):
        findings.add("--length", text, length_mm.wanted, length_mm.do)
        return None
    (x1, y1, x2, y2) = numbers
    if not 5.0 <= length_mm <= 2000.0:
        findings.add("--length", parts[4], "from 5 mm to 2 m", "Check the length and its unit.")
        return None
    if abs(x2 - x1) + abs(y2 - y1) < 10.0:
        findings.add("--length", text, "two points well apart", "Take the ends of a ruler or of the card.")
        return None
    return KnownLength((x1, y1), (x2, y2), length_mm)


def read_seed(text: str, findings: Findings) -> tuple[float, float] | None:
    """ "x,y": a point inside the eye, in stored pixels."""
    numbers = _numbers(text.split(","))
    if numbers is None or len(numbers) != 2:
        findings.add("--seed", text, "a point inside the eye, such as 1800,1200", "Write x,y in pixels.")
        return None
    return numbers[0], numbers[1]


def _numbers(parts: list[str]) -> list[float] | None:
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        return None
    return numbers if all(-_FURTHEST_PX <= number <= _FURTHEST_PX for number in numbers) else None
