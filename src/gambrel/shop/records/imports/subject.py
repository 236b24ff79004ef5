"""One sort of table: its columns, and what is done with its rows."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from gambrel.measures import Entry
from gambrel.shop.records.models import Person

_UNITS = (("_per_lb", "{}/lb"), ("_per_kg", "{}/kg"), ("_lb", "{}lb"), ("_kg", "{}kg"), ("_dollars", "${}"))
"""Endings of a column's name that put the unit on a bare number."""

_BARE = re.compile(r"\s*\d+(?:\.\d+)?\s*")


@dataclass(frozen=True, slots=True)
class Column:
    """`name` as it stands in the header, an example, and whether a table without it is refused."""

    name: str
    example: str
    required: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table: its number there, its fields with their units put on, and a key of its own."""

    number: int
    entry: Entry
    key: str


@dataclass(frozen=True, slots=True)
class Subject:
    """`store` writes rows through the services, one after another, and raises `CannotDo` for what is wrong in one.

    `together` are the columns that rows must share to be stored as one record.
    """

    name: str
    columns: tuple[Column, ...]
    store: Callable[[Sequence[Row], Person | None], None]
    together: tuple[str, ...] = ()

    def wanted(self) -> dict[str, tuple[str, ...]]:
        """Columns that must be there, under any of the names by which they are known."""
        return {
            column.name: (column.name, *(f"{column.name}{ending}" for ending, _ in _UNITS))
            for column in self.columns if column.required
        }  # fmt: skip


def with_units(cells: Mapping[str, str], columns: Sequence[Column]) -> dict[str, str]:
    """Fields by the columns' own names: `hot_left_lb` 402 becomes `hot_left` 402lb. Empty cells are left out."""
    names = {column.name for column in columns}
    fields: dict[str, str] = {}
    for name, cell in cells.items():
        if not cell.strip():
            continue
        for ending, form in _UNITS:
            plain = name.removesuffix(ending)
            if name not in names and plain != name and plain in names:
                fields[plain] = form.format(cell.strip()) if _BARE.fullmatch(cell) else cell
                break
        else:
            fields[name] = cell
    return fields
