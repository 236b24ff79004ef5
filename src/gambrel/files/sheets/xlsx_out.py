"""Tables as a workbook: a tab each, headings kept in sight, real numbers and dates, a tab about it all."""

from __future__ import annotations

import io
import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

from gambrel.files.sheets.table import Column, Table, Value

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

ABOUT = "about"
_WIDEST = 60
_FORBIDDEN_IN_TAB = re.compile(r"[\[\]:*?/\\\x00-\x1f]")
_FORBIDDEN_IN_CELL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


def xlsx_bytes(tables: Sequence[Table], *, title: str, made_on: date, notes: Iterable[str] = ()) -> bytes:
    """The workbook as bytes. The last tab, "about", holds title, day and notes."""
    from openpyxl import Workbook

    book = Workbook()
    del book[book.sheetnames[0]]
    names = tab_names([table.name for table in tables])
    for name, table in zip(names, tables, strict=True):
        _fill(book.create_sheet(name), table)
    _about(book, title, made_on, notes)
    book.properties.title = clean(title)
    book.properties.creator = "gambrel"
    book.properties.created = datetime(made_on.year, made_on.month, made_on.day)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def tab_names(wished: Sequence[str]) -> list[str]:
    """At most 31 characters, none a tab may not hold, each once whatever its case, none called "about"."""
    taken = {ABOUT}
    names: list[str] = []
    for wish in wished:
        plain = _FORBIDDEN_IN_TAB.sub(" ", wish).strip(" '") or "table"
        name, count = plain[:31], 1
        while name.lower() in taken:
            count += 1
            name = f"{plain[: 30 - len(str(count))]} {count}"
        taken.add(name.lower())
        names.append(name)
    return names


def clean(text: str) -> str:
    """Without the characters that a workbook may not hold, and cut at the 32,767 that a cell may."""
    return _FORBIDDEN_IN_CELL.sub(" ", text)[:32_767]


def _fill(sheet: Worksheet, table: Table) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter
    from openpyxl.worksheet.properties import PageSetupProperties

    for place, column in enumerate(table.columns, 1):
        cell: Any = sheet.cell(row=1, column=place)
        _write(cell, column.with_unit, column)
        cell.font = Font(bold=True, color="FFFFFF")
        cell.fill = PatternFill("solid", start_color="1D4E79")
        cell.alignment = Alignment(
            wrap_text=True, vertical="center", horizontal="left" if column.form == "text" else "right"
        )
        sheet.column_dimensions[get_column_letter(place)].width = _width(table, place - 1)
    for line, row in enumerate(table.rows, 2):
        for place, (value, column) in enumerate(zip(row, table.columns, strict=True), 1):
            _write(sheet.cell(row=line, column=place), value, column)
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(table.columns))}{len(table.rows) + 1}"
    sheet.print_title_rows = "1:1"
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)


def _write(cell: Any, value: Value, column: Column) -> None:
    """A text is stored as text even when it begins with "=", so nothing a person typed is ever computed."""
    if value is None:
        return
    if isinstance(value, str):
        cell.value = clean(value)
        cell.data_type = "s"
        return
    cell.value = value / 100 if column.form == "money" and not isinstance(value, date) else value
    cell.number_format = _number_format(column)


def _number_format(column: Column) -> str:
    decimals = "." + "0" * column.places if column.places else ""
    return {"date": "yyyy-mm-dd", "money": '"$"#,##0.00', "share": f"0{decimals}%", "whole": "#,##0"}.get(
        column.form, f"#,##0{decimals}"
    )


def _width(table: Table, place: int) -> float:
    """Wide enough for the longest text of the column; figures need about twelve characters."""
    longest = max((len(row[place]) for row in table.rows if isinstance(row[place], str)), default=0)  # type: ignore[arg-type]
    return float(min(_WIDEST, max(12, longest + 2, len(table.columns[place].with_unit) + 3)))


def _about(book: Workbook, title: str, made_on: date, notes: Iterable[str]) -> None:
    from openpyxl.styles import Alignment, Font

    sheet = book.create_sheet(ABOUT)
    plain = Column("about")
    lines: list[Value] = [title, made_on, *notes]
    for line, value in enumerate(lines, 1):
        cell: Any = sheet.cell(row=line, column=1)
        _write(cell, value, Column("made on", "date") if isinstance(value, date) else plain)
        cell.alignment = Alignment(wrap_text=True, vertical="top", horizontal="left")
    sheet["A1"].font = Font(bold=True, size=14)
    sheet.column_dimensions["A"].width = 100.0
