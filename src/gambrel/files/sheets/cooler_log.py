"""The log of a cooler to print and file: every reading with who read it, and what the log has to say."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from gambrel.files.drawing.svg import words_plain
from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.pdf_out import heading
from gambrel.files.sheets.typeset import typeset
from gambrel.measures.units import f_from_c


@dataclass(frozen=True, slots=True)
class LogRow:
    """One line of the log in the shop's own time; None where that probe was not read."""

    at: datetime
    air_c: float | None
    carcass_c: float | None
    deep_c: float | None
    humidity_pct: float | None
    by: str
    note: str


def cooler_log_pdf(
    head: Head, rows: Iterable[LogRow], *, notes: Iterable[str], paper: str = "letter"
) -> bytes:
    """The log as a document; temperatures in both units."""
    data = {**heading(head, notes, ()), "rows": [_row(row) for row in rows]}
    return typeset("cooler", data, {}, paper=paper, made_on=head.made_on)


def _row(row: LogRow) -> list[str]:
    humidity = "" if row.humidity_pct is None else f"{row.humidity_pct:.0f} %"
    return [f"{row.at:%Y-%m-%d %H:%M}", _c(row.air_c), _c(row.carcass_c), _c(row.deep_c), humidity,
            words_plain(row.by), words_plain(row.note)]  # fmt: skip


def _c(value_c: float | None) -> str:
    return "" if value_c is None else f"{value_c:.1f} °C · {f_from_c(value_c):.0f} °F"
