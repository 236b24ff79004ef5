"""A table of values with what each column means; spreadsheets and CSV files are written from it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

Value = str | float | int | date | None
"""One cell; None is an empty one."""

FORMS = ("text", "number", "whole", "money", "share", "date")
"""money is given in cents, written in dollars; a share is given from 0 to 1, written as a percentage."""


@dataclass(frozen=True, slots=True)
class Column:
    """A heading, how its values are written, and their unit (money and shares bring their own)."""

    heading: str
    form: str = "text"
    unit: str = ""
    places: int = 1

    def __post_init__(self) -> None:
        if self.form not in FORMS:
            raise ValueError(f"a column is one of {', '.join(FORMS)}, not {self.form}")

    @property
    def with_unit(self) -> str:
        """ "mean [kg]"; a text or a date has no unit."""
        return f"{self.heading} [{self.unit}]" if self.unit else self.heading


@dataclass(frozen=True, slots=True)
class Table:
    """`name` is short (a tab, a file); every row has a value a column."""

    name: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Value, ...], ...]

    def __post_init__(self) -> None:
        for number, row in enumerate(self.rows, 1):
            if len(row) != len(self.columns):
                raise ValueError(
                    f"{self.name}, row {number}: {len(row)} values for {len(self.columns)} columns"
                )


def text(heading: str) -> Column:
    return Column(heading)


def day(heading: str) -> Column:
    return Column(heading, "date")


def kg(heading: str) -> Column:
    return Column(heading, "number", "kg", 2)


def lb(heading: str) -> Column:
    return Column(heading, "number", "lb", 2)


def share(heading: str) -> Column:
    return Column(heading, "share", "%", 1)


def whole(heading: str, unit: str = "") -> Column:
    return Column(heading, "whole", unit, 0)


def number(heading: str, unit: str, places: int = 1) -> Column:
    return Column(heading, "number", unit, places)


def money(heading: str, unit: str = "$") -> Column:
    return Column(heading, "money", unit, 2)
