"""What went wrong at the block when a side does not balance, the most likely cause first.

Eight slips are looked for. Each of them, on each line it could have happened to, is undone; what is left is
judged against the forecast and the weight off the rail (`learn.expected`), and Bayes' rule gives the
probability of each. One slip a side, or a pair of sides, is looked for: put it right and ask again.

`explain` takes the weights as they stand and the expectations of the sides they belong to.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from gambrel.breakdown.composition import Floats
from gambrel.learn.expected import LOG_ZEROS, ZEROS_KG, Expected
from gambrel.measures.units import KG_PER_LB

MISTAKE_SHARE = 0.05
"""Sides with a slip among their weights before anything is known of them: from memory."""

_UNKNOWN_SHARE = 0.05
"""Slips that are none of the eight, as a share of all slips: from memory."""

_ODD_RATIO, _FULL_RATIO, _TUB_RATIO = 1.4, 3.0, 2.0


class Mistake(Enum):
    """A slip of the block."""

    NEVER_WEIGHED = "never-weighed"
    TWICE = "twice"
    POUNDS = "pounds"
    """Pounds written down as kilograms: kept 2.2 times too heavy."""
    KILOGRAMS = "kilograms"
    """Kilograms written down as pounds: kept 2.2 times too light."""
    OTHER_SIDE = "other-side"
    DECIMAL = "decimal"
    TARE = "tare"
    """The tub's weight left in, or taken off though there was no tub."""
    OTHER_CUT = "other-cut"
    UNKNOWN = "unknown"
    """The side does not balance and none of these explains it."""


SLIPS = tuple(mistake for mistake in Mistake if mistake is not Mistake.UNKNOWN)


@dataclass(frozen=True, slots=True)
class Line:
    """One weight that stands: net kg of `slug` on the side called `side`; `digit_kg` is its last digit's worth.

    `tare_kg` is what was taken off for the tub. `key` is the caller's own name for the line.
    """

    side: str
    slug: str
    weight_kg: float
    digit_kg: float
    tare_kg: float = 0.0
    key: str = ""


@dataclass(frozen=True, slots=True)
class Cause:
    """One explanation. `probability` is of this slip anywhere on these sides, `here_probability` of it on this line.

    `line` is None for a piece never weighed and for an unknown cause; `right_kg` is what the line, or the piece,
    should then say; `right_slug` and `right_side` where it belongs.
    """

    mistake: Mistake
    probability: float
    here_probability: float
    line: Line | None
    right_kg: float
    right_slug: str
    right_side: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """Causes, the most likely first, each slip once with its best line. `right_probability`: nothing is wrong.

    `zero_kg` is what every weight seems to read too high (a wet pan, a zero set wrong); no slip, but worth a look.
    """

    right_probability: float
    causes: tuple[Cause, ...]
    zero_kg: float = 0.0

    @property
    def likeliest(self) -> Cause | None:
        """The first cause where something is more likely wrong than not."""
        return self.causes[0] if self.causes and self.right_probability < 0.5 else None


def explain(
    lines: Sequence[Line],
    sides: Mapping[str, Expected],
    *,
    tares_kg: Sequence[float] = (),
    mistake_share: float = MISTAKE_SHARE,
) -> Explanation:
    """What is wrong with the lines of one side or of both sides of an animal, by side name.

    `tares_kg` are the tubs the shop uses. A side may be given without the other one; a line of the other side is
    then still recognised, but not a piece that went there.
    """
    if not sides or any(line.side not in sides for line in lines):
        raise ValueError("every line needs the expectation of its side")
    table = _Table(lines, sides, tares_kg)
    base = table.score({})
    scored = [(cause, log) for cause, log in table.slips()]
    slip_share = 1.0 - (1.0 - mistake_share) ** len(sides)
    logs = np.array([base + math.log1p(-slip_share), *(log + math.log(slip_share) for _, log in scored)])
    if not np.any(np.isfinite(logs)):
        return Explanation(1.0, ())
    chance = np.exp(logs - logs.max())
    chance /= chance.sum()
    by_slip: dict[Mistake, list[tuple[float, Cause]]] = {}
    for (cause, _), one in zip(scored, chance[1:].tolist(), strict=True):
        by_slip.setdefault(cause.mistake, []).append((one, cause))
    causes = []
    for mistake, found in by_slip.items():
        here, best = max(found, key=lambda pair: pair[0])
        total = math.fsum(one for one, _ in found)
        causes.append(Cause(mistake, total, here, best.line, best.right_kg, best.right_slug, best.right_side))
    causes.sort(key=lambda cause: -cause.probability)
    return Explanation(float(chance[0]), tuple(causes), table.zero_kg())


def _over_zeros(sides: Iterable[Floats]) -> float:
    """Log density of all sides together, which one scale weighed, whatever its zero was."""
    logs = LOG_ZEROS + np.sum(list(sides), axis=0)
    top = float(logs.max())
    return top + math.log(float(np.exp(logs - top).sum())) if math.isfinite(top) else top


_Change = Mapping[tuple[str, str], tuple[float, int]]
"""What undoing a slip does: kg and lines added to a piece of a side."""


class _Table:
    """The weights by side and piece, and every way to undo one slip with its log probability."""

    def __init__(
        self, lines: Sequence[Line], sides: Mapping[str, Expected], tares_kg: Sequence[float]
    ) -> None:
        foreign = {line.slug for line in lines}
        self.lines = lines
        self.sides = {name: one.with_slugs(sorted(foreign)) for name, one in sides.items()}
        self.tares_kg = tuple(tare for tare in tares_kg if tare > 0.0)
        self.total_kg = {name: np.zeros(len(one.slugs)) for name, one in self.sides.items()}
        self.counts = {name: np.zeros(len(one.slugs)) for name, one in self.sides.items()}
        for line in lines:
            at = self.sides[line.side].place[line.slug]
            self.total_kg[line.side][at] += line.weight_kg
            self.counts[line.side][at] += 1
        self.log_side = {name: self._log_side(name, {}, None) for name in self.sides}

    def score(self, change: _Change, unweighed: tuple[str, str] | None = None) -> float:
        """Log density of all lines once `change` is made."""
        touched = {side for side, _ in change} | ({unweighed[0]} if unweighed else set())
        return _over_zeros(
            self._log_side(name, change, unweighed) if name in touched else self.log_side[name]
            for name in self.sides
        )

    def zero_kg(self) -> float:
        """How far off the scale's zero was, if nothing else is wrong."""
        logs = LOG_ZEROS + np.sum(list(self.log_side.values()), axis=0)
        chance = np.exp(logs - logs.max())
        return float(chance @ ZEROS_KG / chance.sum())

    def _log_side(self, name: str, change: _Change, unweighed: tuple[str, str] | None) -> Floats:
        expected = self.sides[name]
        total_kg, counts = self.total_kg[name], self.counts[name]
        if change:
            total_kg, counts = total_kg.copy(), counts.copy()
            for (side, slug), (kg, lines) in change.items():
                if side == name:
                    at = expected.place[slug]
                    total_kg[at] += kg
                    counts[at] += lines
            if np.any(total_kg[counts > 0] <= 0.0):
                return np.full(len(ZEROS_KG), -math.inf)
            total_kg = np.where(counts > 0, total_kg, 0.0)
        place = expected.place[unweighed[1]] if unweighed and unweighed[0] == name else None
        return expected.log_density(total_kg, counts, unweighed=place)

    def slips(self) -> Iterator[tuple[Cause, float]]:
        """Every slip anywhere, with the log of its density and of its share among slips."""
        each = math.log((1.0 - _UNKNOWN_SHARE) / len(SLIPS))
        yield self._unknown()
        yield from ((cause, log + each) for cause, log in self._never_weighed())
        on_line = each - math.log(max(1, len(self.lines)))
        in_tub = [line for line in self.lines if any(True for _ in self._tares(line))]
        for line in in_tub:
            for right_kg, log in self._tares(line):
                change = {(line.side, line.slug): (right_kg - line.weight_kg, 0)}
                log += each + self.score(change) - math.log(len(in_tub))
                yield self._cause(Mistake.TARE, line, right_kg), log
        for line in self.lines:
            yield from ((cause, log + on_line) for cause, log in self._wrong_number(line))
            yield from ((cause, log + on_line) for cause, log in self._wrong_place(line))

    def _unknown(self) -> tuple[Cause, float]:
        log = _over_zeros(
            one.log_density(self.total_kg[name], self.counts[name], unweighed=None, balanced=False)
            for name, one in self.sides.items()
        )
        return Cause(Mistake.UNKNOWN, 0.0, 0.0, None, 0.0, "", ""), log + math.log(_UNKNOWN_SHARE)

    def _never_weighed(self) -> Iterator[tuple[Cause, float]]:
        pieces = sum(len(one.slugs) - len(one.strange) for one in self.sides.values())
        for name, expected in self.sides.items():
            left_kg = expected.begun_kg - expected.loss_kg - float(self.total_kg[name].sum())
            for at, slug in enumerate(expected.slugs):
                if self.counts[name][at] == 0 and slug not in expected.strange:
                    # a wet pan may make up for what is missing: then the piece is taken for a usual one
                    right_kg = left_kg if left_kg > 0.0 else float(expected.usual_kg[at])
                    cause = Cause(Mistake.NEVER_WEIGHED, 0.0, 0.0, None, right_kg, slug, name)
                    yield cause, self.score({}, (name, slug)) - math.log(pieces)

    def _wrong_number(self, line: Line) -> Iterator[tuple[Cause, float]]:
        """The weight itself is wrong; the log of how the slip stretches a kilogram goes with each."""
        kg = line.weight_kg
        stretched = [
            (Mistake.POUNDS, kg * KG_PER_LB, 0.0),
            (Mistake.KILOGRAMS, kg / KG_PER_LB, 0.0),
            (Mistake.DECIMAL, kg * 10.0, math.log(0.5)),
            (Mistake.DECIMAL, kg / 10.0, math.log(0.5)),
        ]
        for mistake, right_kg, log in stretched:
            change = {(line.side, line.slug): (right_kg - kg, 0)}
            yield self._cause(mistake, line, right_kg), self.score(change) + log + math.log(right_kg / kg)
        at = self.sides[line.side].place[line.slug]
        same = [one for one in self.lines if one.side == line.side and one.slug == line.slug
                and abs(one.weight_kg - kg) < 1e-9]  # fmt: skip
        if self.counts[line.side][at] > 1 and len(same) > 1:
            change = {(line.side, line.slug): (-kg, -1)}
            yield self._cause(Mistake.TWICE, line, 0.0), self.score(change) - math.log(line.digit_kg)

    def _tares(self, line: Line) -> Iterator[tuple[float, float]]:
        """What the line says without the slip of a tub, and the log of the share of that slip: a tub is not used for
        what weighs no more than it does."""
        if line.tare_kg > 0.0:
            yield line.weight_kg + line.tare_kg, math.log(0.5)
            return
        for tare_kg in self.tares_kg:
            if line.weight_kg > _TUB_RATIO * tare_kg:
                yield line.weight_kg - tare_kg, math.log(0.5 / len(self.tares_kg))

    def _wrong_place(self, line: Line) -> Iterator[tuple[Cause, float]]:
        """The weight is right and belongs to another cut or the other side."""
        kg, expected = line.weight_kg, self.sides[line.side]
        away = {(line.side, line.slug): (-kg, -1)}
        others = [slug for slug in expected.slugs if slug != line.slug and slug not in expected.strange]
        for slug in others:
            if self._may_belong(line, slug):
                log = self.score({**away, (line.side, slug): (kg, 1)})
                yield self._cause(Mistake.OTHER_CUT, line, kg, slug=slug), log - math.log(len(others))
        other_sides = [name for name in self.sides if name != line.side]
        for name in other_sides:
            log = self.score({**away, (name, line.slug): (kg, 1)})
            yield self._cause(Mistake.OTHER_SIDE, line, kg, side=name), log
        if not other_sides:
            log = self.score(away) + expected.log_line(line.slug, kg)
            yield self._cause(Mistake.OTHER_SIDE, line, kg, side=""), log

    def _may_belong(self, line: Line, slug: str) -> bool:
        """Whether moving the line to `slug` is worth a look: it came from where it is odd, and fits where it goes."""
        expected = self.sides[line.side]
        total_kg, counts = self.total_kg[line.side], self.counts[line.side]
        here, there = expected.place[line.slug], expected.place[slug]
        odd = total_kg[here] / expected.usual_kg[here]
        if counts[here] == 1 and line.slug not in expected.strange and _ODD_RATIO**-1 < odd < _ODD_RATIO:
            return False
        return bool(total_kg[there] + line.weight_kg < _FULL_RATIO * expected.usual_kg[there])

    @staticmethod
    def _cause(
        mistake: Mistake, line: Line, right_kg: float, *, slug: str = "", side: str | None = None
    ) -> Cause:
        return Cause(
            mistake, 0.0, 0.0, line, right_kg, slug or line.slug, line.side if side is None else side
        )
