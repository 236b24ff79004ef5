"""Text, TOML and CSV files as values, with a finding for whatever cannot be read.

Files come from many hands: a byte-order mark, Latin-1 and Windows line ends are read; what cannot be is said.
"""

from __future__ import annotations

import csv
import io
import json
import os
import tomllib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from gambrel.measures import CannotDo, Entry, Findings

LARGEST_BYTES = 64 * 1024 * 1024


def read_text(path: Path) -> str:
    """The file's text; `CannotDo` when it is missing, a folder, empty, too large or not text."""
    findings = Findings()
    name = str(path)
    if not os.path.exists(path):  # no error for a name that is too long
        findings.add(name, "no such file", "a file that can be read", "Check the name and the folder.")
    elif not path.is_file():
        findings.add(name, "a folder or device", "a file", "Name the file itself.")
    elif path.stat().st_size > LARGEST_BYTES:
        findings.add(name, f"{path.stat().st_size:,} bytes", f"at most {LARGEST_BYTES:,}", "Split the file.")
    findings.stop_if_any()
    try:
        data = path.read_bytes()
    except OSError as error:
        findings.add(
            name, error.strerror or "unreadable", "a file that can be read", "Check who may read it."
        )
        findings.stop_if_any()
    text = _decode(data)
    if "\x00" in text:
        findings.add(name, "bytes that are not text", "a text file", "Save it as plain text (UTF-8).")
    elif not text.strip():
        findings.add(name, "an empty file", "a file with something in it", "Check that it was saved.")
    findings.stop_if_any()
    return text


def _decode(data: bytes) -> str:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # every byte is a character there, so this cannot fail


def read_toml(path: Path) -> dict[str, Any]:
    """The tables of a TOML file; `CannotDo` with the line where the writing breaks."""
    text = read_text(path)
    findings = Findings()
    try:
        return tomllib.loads(text.replace("\r\n", "\n"))
    except RecursionError:
        findings.add(
            str(path), "brackets within brackets without end", "a TOML file", "Take the brackets out."
        )
    except ValueError as error:  # a slip of writing, or a number of thousands of digits
        do = 'Write name = value; texts and quantities in quotes: hot = "806lb".'
        findings.add(str(path), str(error).split(";")[0], "a TOML file", do)
    raise CannotDo(findings)


def read_json_object(path: Path) -> dict[str, Any]:
    """The object of a JSON file; `CannotDo` when it is something else."""
    text = read_text(path)
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        value = str(error)
    if isinstance(value, dict):
        return value
    findings = Findings()
    findings.add(
        str(path), str(value)[:80], "one JSON object", "Give a file that a command printed with --json."
    )
    raise CannotDo(findings)


def read_case(path: Path, findings: Findings) -> Entry:
    """A case file as one entry whose fields are read by the step that knows them."""
    return Entry(read_toml(path), "", findings)


def read_csv_rows(
    path: Path, wanted: dict[str, tuple[str, ...]], findings: Findings
) -> Iterator[tuple[int, dict[str, str]]]:
    """Row number (the file's first line is 1) and fields of each row.

    The first line that is not blank is the header. `wanted` maps a column to the names it may have; a missing
    column is a finding for the whole file. Columns that nobody knows are passed over. A row with more cells than
    the header gives a finding when it is read.
    """
    text = read_text(path)
    first_line = next((line for line in text.splitlines() if line.strip(" ,;\t")), "")
    delimiter = max(",;\t", key=first_line.count)
    csv.field_size_limit(LARGEST_BYTES)  # an unclosed quotation mark swallows the rest into one cell
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    header = header_of(next(filter(_is_filled, reader), []), str(path), wanted, findings)
    return _rows(reader, header)


def header_of(
    cells: Sequence[str], where: str, wanted: dict[str, tuple[str, ...]], findings: Findings
) -> list[str]:
    """Names of the columns in small letters; `CannotDo` where one is missing or there twice."""
    header = [cell.strip().lower() for cell in cells]
    for column, names in wanted.items():
        if not any(name in header for name in names):
            findings.add(f"{where}, header", ", ".join(header), f"a column {' or '.join(names)} for {column}",
                         "Add the column.")  # fmt: skip
    for name in sorted({name for name in header if name and header.count(name) > 1}):
        findings.add(
            f"{where}, header", f"{name} twice", "each column once", "Rename or take out one of them."
        )
    findings.stop_if_any()
    return header


def _is_filled(cells: Sequence[str]) -> bool:
    """Whether any cell of the line holds something; spreadsheets leave lines of bare separators behind."""
    return any(cell.strip() for cell in cells)


def _rows(reader: Any, header: list[str]) -> Iterator[tuple[int, dict[str, str]]]:
    for cells in filter(_is_filled, reader):
        yield reader.line_num, row_of(header, cells)


def row_of(header: list[str], cells: Sequence[str]) -> dict[str, str]:
    """The cells by the names of their columns; those beyond the header are counted under a name of their own."""
    row = dict(zip(header, cells, strict=False))
    if len(cells) > len(header):
        row["cells beyond the header"] = str(len(cells) - len(header))
    return row
