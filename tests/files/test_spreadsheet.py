"""Tables that people bring: CSV and workbooks give the same rows, and what is no table is said so."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import openpyxl
import pytest

from gambrel.files import spreadsheet
from gambrel.files.spreadsheet import read_rows
from gambrel.measures import CannotDo, Findings

WANTED = {"tag": ("tag",), "weight": ("weight", "weight_kg")}


def rows_of(path: Path) -> list[tuple[int, dict[str, str]]]:
    findings = Findings()
    rows = list(read_rows(path, WANTED, findings))
    findings.stop_if_any()
    return rows


@pytest.fixture
def workbook(tmp_path: Path) -> Callable[[list[list[Any]]], Path]:
    def made(lines: list[list[Any]]) -> Path:
        book = openpyxl.Workbook()
        for line in lines:
            book.active.append(line)
        path = tmp_path / "table.upload"  # the name says nothing: content does
        book.save(path)
        return path

    return made


def test_a_workbook_reads_like_the_same_table_as_text(workbook: Callable[..., Path], tmp_path: Path) -> None:
    book = workbook([["Tag", "weight_kg", "killed"], ["G7", 159.66, date(2026, 3, 2)], [], ["B1", 140, None]])
    text = tmp_path / "table.csv"
    text.write_text("Tag,weight_kg,killed\nG7,159.66,2026-03-02\n\nB1,140,\n", "utf-8")
    assert rows_of(book) == rows_of(text)
    assert rows_of(book)[0] == (2, {"tag": "G7", "weight_kg": "159.66", "killed": "2026-03-02"})


@pytest.mark.parametrize(("cell", "text"), [
    (1.0, "1"), (0.1 + 0.2, "0.3"), (12, "12"), (True, "yes"), (False, "no"), (None, ""), ("352 lb", "352 lb"),
    (datetime(2026, 3, 9), "2026-03-09"), (datetime(2026, 3, 9, 7, 30), "2026-03-09 07:30"),
])  # fmt: skip
def test_a_cell_reads_as_a_person_would_type_it(workbook: Callable[..., Path], cell: Any, text: str) -> None:
    ((_, row),) = rows_of(workbook([["tag", "weight", "cell"], ["G7", "1 kg", cell]]))
    assert row.get("cell", "") == text


def test_a_formula_gives_its_value_and_never_runs(workbook: Callable[..., Path]) -> None:
    """A workbook that no spreadsheet has saved holds no value for its formula; nothing is made up for it."""
    ((_, row),) = rows_of(workbook([["tag", "weight", "cell"], ["G7", "1 kg", "=1+1"]]))
    assert row.get("cell", "") == ""


def test_columns_that_are_missing_or_there_twice_are_told_together(workbook: Callable[..., Path]) -> None:
    with pytest.raises(CannotDo) as refusal:
        rows_of(workbook([["weight", "weight", "note"], ["1 kg", "2 kg", ""]]))
    assert [finding.given for finding in refusal.value.findings] == ["weight, weight, note", "weight twice"]


def test_a_workbook_with_nothing_in_it(workbook: Callable[..., Path]) -> None:
    with pytest.raises(CannotDo):
        rows_of(workbook([]))


def test_too_many_rows_are_refused(workbook: Callable[..., Path], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(spreadsheet, "MOST_ROWS", 3)
    with pytest.raises(CannotDo, match="rows"):
        rows_of(workbook([["tag", "weight"], *([["G7", "1 kg"]] * 5)]))


def test_a_workbook_that_unpacks_to_something_huge_is_not_unpacked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(spreadsheet, "LARGEST_UNPACKED_BYTES", 1_000_000)
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"<" * 2_000_000)
    assert path.stat().st_size < 10_000
    with pytest.raises(CannotDo, match="unpacked"):
        rows_of(path)


def _broken() -> list[bytes]:
    whole = io.BytesIO()
    openpyxl.Workbook().save(whole)
    data = whole.getvalue()
    empty = io.BytesIO()
    zipfile.ZipFile(empty, "w").close()
    letter = io.BytesIO()
    with zipfile.ZipFile(letter, "w") as archive:
        archive.writestr("letter.txt", "Dear aunt")
    return [data[:200], data[:-40], b"PK\x03\x04", letter.getvalue(), data.replace(b"xml", b"xmk")]


@pytest.mark.parametrize("data", _broken())
def test_a_broken_workbook_is_a_finding(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "broken.xlsx"
    path.write_bytes(data)
    with pytest.raises(CannotDo):
        rows_of(path)
