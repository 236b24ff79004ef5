"""Smooth lines through points laid by hand: joined, turned round, cut short, mirrored, written as paths."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from gambrel.files.drawing.svg import Point, number

Bend = tuple[Point, Point, Point]
"""First handle, second handle and end of one Bezier piece."""


@dataclass(frozen=True, slots=True)
class Curve:
    """A start and the Bezier pieces that follow it."""

    start: Point
    bends: tuple[Bend, ...]

    @property
    def end(self) -> Point:
        return self.bends[-1][2] if self.bends else self.start

    def then(self, *others: Curve) -> Curve:
        """Joined to `others`; each must begin where the one before it ends."""
        bends = list(self.bends)
        end = self.end
        for other in others:
            if max(abs(end[0] - other.start[0]), abs(end[1] - other.start[1])) > 0.01:
                raise ValueError(f"a line ends at {end} and the next begins at {other.start}")
            bends.extend(other.bends)
            end = other.end
        return Curve(self.start, tuple(bends))

    def back(self) -> Curve:
        """The same line run the other way."""
        starts = [self.start, *(bend[2] for bend in self.bends[:-1])]
        turned = tuple(
            (second, first, start) for (first, second, _), start in zip(self.bends, starts, strict=True)
        )
        return Curve(self.end, turned[::-1])

    def head(self, bends: int) -> Curve:
        """Its first pieces."""
        return Curve(self.start, self.bends[:bends])

    def tail(self, bends: int) -> Curve:
        """Its last pieces."""
        keep = len(self.bends) - bends
        return Curve(self.bends[keep - 1][2] if keep else self.start, self.bends[keep:])

    def path(self, *, mirror_width: float | None = None, closed: bool = False) -> str:
        """SVG path data; `mirror_width` turns left to right on a sheet of that width."""

        def put(point: Point) -> str:
            x = point[0] if mirror_width is None else mirror_width - point[0]
            return f"{number(x)} {number(point[1])}"

        pieces = " ".join(f"C {put(one)} {put(two)} {put(end)}" for one, two, end in self.bends)
        return f"M {put(self.start)} {pieces}{' Z' if closed else ''}"


def smooth(points: Sequence[Point], *, closed: bool = False, pull: float = 1 / 6) -> Curve:
    """A line through every point whose slope at each follows its two neighbours (Catmull and Rom's spline).

    `closed`: the last point repeats the first and the line runs round without a corner there.
    """
    if len(points) < 2:
        raise ValueError("a line needs two points")
    last = len(points) - 1

    def neighbour(index: int) -> Point:
        if closed:
            return points[index % last]
        return points[min(max(index, 0), last)]

    bends: list[Bend] = []
    for i in range(last):
        before, here, there, after = neighbour(i - 1), points[i], points[i + 1], neighbour(i + 2)
        one = (here[0] + (there[0] - before[0]) * pull, here[1] + (there[1] - before[1]) * pull)
        two = (there[0] - (after[0] - here[0]) * pull, there[1] - (after[1] - here[1]) * pull)
        bends.append((one, two, there))
    return Curve(points[0], tuple(bends))


def between(first: Sequence[Point], second: Sequence[Point], share: float) -> tuple[Point, ...]:
    """Points on the way from one line to another, point by point; a share beyond 0 to 1 goes on past them."""
    return tuple((a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
                 for a, b in zip(first, second, strict=True))  # fmt: skip
