"""The plot of how planning grows with the sides, drawn from the measured table: docs/plan-growth.csv."""

from __future__ import annotations

import csv
import math
from dataclasses import dataclass
from pathlib import Path

WIDTH, HEIGHT = 640, 380
LEFT, RIGHT, TOP, BOTTOM = 70, 20, 20, 50
NO_PLAN_PCT = 999.0
"""The table's gap where no plan was found at all."""

LOOKS = {"ours": ("#1b5e20", "", "taken apart"),
         "straightforward": ("#b71c1c", ' stroke-dasharray="6 4"', "straightforward")}  # fmt: skip


@dataclass(frozen=True)
class Point:
    """One measured plan; `reached` says whether the gap asked for was proven."""

    way: str
    sides: int
    processor_s: float
    gap_pct: float
    reached: bool


def read(path: Path) -> list[Point]:
    with path.open(newline="") as file:
        return [
            Point(row["way"], int(row["sides"]), float(row["processor_s"]), float(row["gap_pct"]),
                  row["status"] in ("optimal", "within-gap"))
            for row in csv.DictReader(file)
        ]  # fmt: skip


def drawn(points: list[Point]) -> str:
    """Both axes grow by tenfold; a hollow mark is a time within which the gap was not reached."""
    sides = [point.sides for point in points]
    seconds = [point.processor_s for point in points]
    across = _scale(min(sides), max(sides), LEFT, WIDTH - RIGHT)
    low_s, high_s = 10 ** math.floor(math.log10(min(seconds))), 10 ** math.ceil(math.log10(max(seconds)))
    up = _scale(low_s, high_s, HEIGHT - BOTTOM, TOP)
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}" width="{WIDTH}" height="{HEIGHT}" '
        'font-family="sans-serif" font-size="12" role="img" aria-label="Processor seconds by number of sides">',
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#ffffff"/>',
    ]
    tick_s = low_s
    while tick_s <= high_s:
        lines.append(f'<path d="M{LEFT} {up(tick_s)}H{WIDTH - RIGHT}" stroke="#dddddd"/>')
        lines.append(f'<text x="{LEFT - 8}" y="{up(tick_s) + 4}" text-anchor="end">{tick_s:g}</text>')
        tick_s *= 10
    for one in sorted(set(sides)):
        lines.append(f'<text x="{across(one)}" y="{HEIGHT - BOTTOM + 18}" text-anchor="middle">{one}</text>')
    lines.append(
        f'<text x="{(LEFT + WIDTH) / 2}" y="{HEIGHT - 8}" text-anchor="middle">sides over 28 days</text>'
    )
    lines.append(f'<text x="14" y="{HEIGHT / 2}" text-anchor="middle" transform="rotate(-90 14 {HEIGHT / 2})">'
                 "processor seconds</text>")  # fmt: skip
    for place, way in enumerate(dict.fromkeys(point.way for point in points)):
        lines += _line(way, place, [(across(point.sides), up(point.processor_s), point)
                                    for point in points if point.way == way])  # fmt: skip
    return "\n".join([*lines, "</svg>", ""])


def _scale(low: float, high: float, first: float, last: float):  # type: ignore[no-untyped-def]
    per = (last - first) / (math.log(high) - math.log(low))
    return lambda value: round(first + per * (math.log(value) - math.log(low)), 1)


def _line(way: str, place: int, marks: list[tuple[float, float, Point]]) -> list[str]:
    colour, dashes, name = LOOKS[way]
    path = "L".join(f"{x} {y}" for x, y, _ in marks)
    lines = [f'<path d="M{path}" fill="none" stroke="{colour}" stroke-width="2"{dashes}/>']
    for x, y, point in marks:
        fill = colour if point.reached else "#ffffff"
        gap = f"gap {point.gap_pct:.2f} %" if point.gap_pct < NO_PLAN_PCT else "no plan found"
        told = f"{name}, {point.sides} sides: {point.processor_s:.1f} s, {gap}"
        lines.append(f'<circle cx="{x}" cy="{y}" r="5" fill="{fill}" stroke="{colour}" stroke-width="2">'
                     f"<title>{told}</title></circle>")  # fmt: skip
    lines.append(f'<text x="{LEFT + 12}" y="{TOP + 18 + 18 * place}" fill="{colour}">{name}</text>')
    return lines


if __name__ == "__main__":
    docs = Path(__file__).resolve().parents[1] / "docs"
    (docs / "plan-growth.svg").write_text(drawn(read(docs / "plan-growth.csv")))
