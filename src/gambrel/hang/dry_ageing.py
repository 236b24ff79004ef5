"""What is left to sell of a subprimal after ageing it dry or wet, from published cutting tests."""

from __future__ import annotations

from functools import cache
from typing import Any

from gambrel.hang.figures import packaged_table
from gambrel.measures import CannotDo, Finding


@cache
def _table() -> dict[str, Any]:
    return packaged_table("dry_ageing.toml")


def dry_ageing_cuts() -> tuple[str, ...]:
    """The cuts that were tested: ribeye, strip-bone-in, top-sirloin."""
    return tuple(_table()["cut"])


def saleable_share(cut: str, day: float, *, dry: bool = True) -> float:
    """Share of the starting subprimal that can be sold after `day` days, on straight lines between tests.

    The tests ran 14, 21, 28 and 35 days; outside of them, and for other cuts, `CannotDo`.
    [Smith et al., Meat Sci. 79:631, 2008; Dashdorj et al., J. Anim. Sci. Technol. 58:20, 2016, table 1]
    """
    return _at(cut, day, "dry_saleable_pct" if dry else "wet_saleable_pct")


def cooler_shrink_share(cut: str, day: float) -> float:
    """Share of the starting subprimal dried away in the cooler by `day`; same source and limits."""
    return _at(cut, day, "dry_shrink_pct")


def _at(cut: str, day: float, line: str) -> float:
    table = _table()
    if cut not in table["cut"]:
        raise CannotDo(
            [
                Finding(
                    "cut",
                    cut,
                    "one of " + ", ".join(table["cut"]),
                    "Only these were tested; weigh your own before and after.",
                )
            ]
        )
    days: list[int] = table["days"]
    percents: list[float] = table["cut"][cut][line]
    if not days[0] <= day <= days[-1]:
        raise CannotDo(
            [
                Finding(
                    "days of ageing",
                    f"{day:g}",
                    f"{days[0]} to {days[-1]} days",
                    "The tests stop there; weigh your own.",
                )
            ]
        )
    for index in range(1, len(days)):
        if day <= days[index]:
            into = (day - days[index - 1]) / (days[index] - days[index - 1])
            return (percents[index - 1] + into * (percents[index] - percents[index - 1])) / 100
    raise AssertionError("unreachable: the last day is in the table")
