"""What the shop's coolers take, by kind and room: the book, and the book put right by the shop's own weighings."""

from __future__ import annotations

from dataclasses import dataclass

from gambrel.catalog.kinds import Kind
from gambrel.hang.loss import LossModel
from gambrel.measures import Estimate
from gambrel.shop.records.hung import ALL_COOLERS, losses_here
from gambrel.shop.records.week import kinds_of_shop

FIRST_DAY = 1


@dataclass(frozen=True, slots=True)
class LossLine:
    """One kind in one cooler (`ALL_COOLERS`: all of them): lost of the hot weight by the first day and by the kind's
    best day to cut, by the book and by both; from so many sides, with weighings that could not be true set aside."""

    kind: str
    cooler: str
    day: int
    book_first: Estimate
    both_first: Estimate
    book: Estimate
    both: Estimate
    sides_count: int
    set_aside_count: int

    @property
    def more_share(self) -> float:
        """What is lost beyond the book by the day of cutting."""
        return self.both.mean - self.book.mean

    @property
    def is_apart(self) -> bool:
        """The shop's interval leaves the book's mean out."""
        return not self.both.p05 <= self.book.mean <= self.both.p95


def hanging_lines() -> tuple[LossLine, ...]:
    """Every kind that was weighed, all coolers first, then each."""
    kinds = kinds_of_shop()
    lines = []
    for slug, coolers in losses_here(kinds).by_kind.items():
        # With one cooler alone, what all say is what it says.
        names = [name for name in coolers if name != ALL_COOLERS or len(coolers) != 2]
        for name in sorted(names):
            one = coolers[name]
            day = _day(kinds[slug], one.book)
            lines.append(
                LossLine(slug, name, day, _lost(one.book, FIRST_DAY), _lost(one.both, FIRST_DAY),
                         _lost(one.book, day), _lost(one.both, day), one.sides, one.set_aside)
            )  # fmt: skip
    return tuple(lines)


def _day(kind: Kind, model: LossModel) -> int:
    return min(kind.hang_days[1], int(model.last_day))


def _lost(model: LossModel, day: int) -> Estimate:
    left = model.remaining_share(day)
    return Estimate(1.0 - left.mean, 1.0 - left.p95, 1.0 - left.p05)
