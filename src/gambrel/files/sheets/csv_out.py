"""A table as a CSV file that any spreadsheet opens and that no person's text can turn into a formula."""

from __future__ import annotations

import csv
import io
from datetime import date

from gambrel.files.sheets.table import Column, Table, Value
from gambrel.measures.money import round_half_up

FORMULA_SIGNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""A cell that begins with one of these is run as a formula by some spreadsheets [OWASP, CSV injection]."""


def csv_bytes(table: Table, *, bom: bool = True) -> bytes:
    """UTF-8 text with units in the headings and one line a row, ended by CR LF as RFC 4180 (2005) has it.

    `bom` adds the byte-order mark by which spreadsheets know UTF-8. Numbers are rounded as the column says.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([harmless(column.with_unit) for column in table.columns])
    for row in table.rows:
        writer.writerow([_cell(value, column) for value, column in zip(row, table.columns, strict=True)])
    return out.getvalue().encode("utf-8-sig" if bom else "utf-8", errors="replace")


def harmless(text: str) -> str:
    """A text that would be taken for a formula gets an apostrophe in front, the sign for "text"."""
    return f"'{text}" if text.lstrip(" ").startswith(FORMULA_SIGNS) else text


def _cell(value: Value, column: Column) -> str:
    if value is None:
        return ""
    if isinstance(value, str | date):
        return harmless(str(value))  # a date is written 2026-03-09
    if column.form == "money":
        cents = round_half_up(value)
        return f"{'-' if cents < 0 else ''}{abs(cents) // 100}.{abs(cents) % 100:02d}"
    scaled = 100 * value if column.form == "share" else value
    return f"{scaled:.{column.places}f}"
