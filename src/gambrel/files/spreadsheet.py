"""Rows of a table that somebody brings, as CSV or as a workbook, told apart by content and not by name."""

from __future__ import annotations

import zipfile
from collections.abc import Iterator
from datetime import date, datetime, time
from pathlib import Path
from typing import Any

from gambrel.files.reading import header_of, read_csv_rows, row_of
from gambrel.measures import Findings

ZIP_SIGN = b"PK\x03\x04"
LARGEST_UNPACKED_BYTES = 100_000_000
MOST_ROWS, MOST_COLUMNS = 50_000, 100
NO_WORKBOOK = (
    zipfile.BadZipFile,
    KeyError,
    IndexError,
    ValueError,
    TypeError,
    AttributeError,
    SyntaxError,
    OSError,
)
"""The library says what is wrong with a workbook by any of these."""


def read_rows(
    path: Path, wanted: dict[str, tuple[str, ...]], findings: Findings
) -> Iterator[tuple[int, dict[str, str]]]:
    """Row number (the first line is 1) and fields by column name, as text; see `read_csv_rows`."""
    with path.open("rb") as stream:
        is_workbook = stream.read(4) == ZIP_SIGN
    return _workbook_rows(path, wanted, findings) if is_workbook else read_csv_rows(path, wanted, findings)


def _workbook_rows(
    path: Path, wanted: dict[str, tuple[str, ...]], findings: Findings
) -> Iterator[tuple[int, dict[str, str]]]:
    """The first sheet. A workbook that unpacks to something huge is not unpacked."""
    lines = list(_lines(path, findings))
    findings.stop_if_any()
    filled = [(number, cells) for number, cells in lines if any(cell.strip() for cell in cells)]
    first = list(filled[0][1]) if filled else []
    while first and not first[-1].strip():  # a sheet may be wider than its table
        first.pop()
    header = header_of(first, path.name, wanted, findings)
    for number, cells in filled[1:]:
        while len(cells) > len(header) and not cells[-1].strip():
            cells.pop()
        yield number, row_of(header, cells)


def _lines(path: Path, findings: Findings) -> Iterator[tuple[int, list[str]]]:
    from openpyxl import load_workbook

    do = "Save it as a workbook (.xlsx) or as CSV."
    try:
        with zipfile.ZipFile(path) as archive:
            unpacked_bytes = sum(info.file_size for info in archive.infolist())
        if unpacked_bytes > LARGEST_UNPACKED_BYTES:
            findings.add(path.name, f"{unpacked_bytes:,} bytes unpacked", f"at most {LARGEST_UNPACKED_BYTES:,}",
                         "Split the table.")  # fmt: skip
            return
        with path.open("rb") as stream:  # the library would judge the file by its name
            book = load_workbook(stream, read_only=True, data_only=True, keep_links=False)
            lines = enumerate(book.worksheets[0].iter_rows(values_only=True, max_col=MOST_COLUMNS), 1)
            for number, values in lines:
                if number > MOST_ROWS:
                    findings.add(path.name, f"more than {MOST_ROWS:,} rows", f"at most {MOST_ROWS:,}",
                                 "Split the table.")  # fmt: skip
                    break
                yield number, [_text(value) for value in values]
            book.close()
    except NO_WORKBOOK:
        findings.add(path.name, "a workbook that cannot be read", "a table", do)


def _text(value: Any) -> str:
    """A cell as a person would have typed it."""
    if value is None:
        return ""
    if isinstance(value, datetime):
        return (
            value.date().isoformat()
            if value.time() == time(0)
            else value.isoformat(sep=" ", timespec="minutes")
        )
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    return str(value)
