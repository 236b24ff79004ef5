"""When a side is ready: earliest, target and latest cutting day; published days for tenderness."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from gambrel.catalog.kinds import Kind
from gambrel.hang.figures import packaged_table
from gambrel.measures import CannotDo, Finding


@dataclass(frozen=True, slots=True)
class Window:
    """Cutting days, in order: not before `earliest`, best on `target`, not after `latest`."""

    earliest: date
    target: date
    latest: date

    def says(self, day: date) -> str:
        """One word for `day`: early, ready or late."""
        if day < self.earliest:
            return "early"
        return "ready" if day <= self.latest else "late"


def ready_window(kind: Kind, killed: date, *, hang_days: Sequence[int] | None = None) -> Window:
    """The window of a side killed on `killed`: by the kind's hanging days, or by the shop's own three.

    The kinds' days are common practice (bison about 7, beef about 14), not a published optimum.
    """
    days = tuple(hang_days) if hang_days is not None else kind.hang_days
    if len(days) != 3 or list(days) != sorted(days) or not 0 <= days[0] <= days[-1] <= 120:
        raise CannotDo(
            [
                Finding(
                    "hang_days",
                    str(list(days)),
                    "earliest, target and latest day, rising, 0 to 120",
                    "Write them like hang_days = [10, 14, 21].",
                )
            ]
        )
    earliest, target, latest = (killed + timedelta(days=day) for day in days)
    return Window(earliest, target, latest)


@dataclass(frozen=True, slots=True)
class TendernessRow:
    """Least days of ageing that one published review gives for one cut."""

    cut: str
    low_days: int
    high_days: int
    review: str
    source: str


def tenderness_minimum_days() -> tuple[TendernessRow, ...]:
    """The published least days by cut, for information: the two reviews do not agree on every cut."""
    reviews = packaged_table("tenderness.toml")["review"]
    return tuple(
        TendernessRow(cut, low, high, name, review["source"])
        for name, review in reviews.items()
        for cut, (low, high) in review["days"].items()
    )
