"""A table that somebody brought: looked at as if it were stored, with all findings; then stored, or nothing of it."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from django.db import IntegrityError, transaction

from gambrel.files.spreadsheet import read_rows
from gambrel.measures import CannotDo, Entry, Finding, Findings
from gambrel.shop.records.imports.subject import Row, Subject, with_units
from gambrel.shop.records.models import Person

MOST_FINDINGS = 200
SHOWN_ROWS = 20


@dataclass(frozen=True, slots=True)
class Look:
    """What a table would do: how many rows it has, the first of them, and everything that is wrong."""

    rows_count: int
    header: tuple[str, ...]
    first_rows: tuple[tuple[str, ...], ...]
    findings: tuple[Finding, ...]


def look(subject: Subject, path: Path, *, by: Person | None) -> Look:
    """Store it, note what was wrong, and take it all back."""
    try:
        rows, findings = _bring(subject, path, by=by, keep=False)
    except CannotDo as refusal:
        return Look(0, (), (), tuple(refusal.findings))
    shown = [row.entry.fields for row in rows[:SHOWN_ROWS]]
    header = tuple(
        column.name for column in subject.columns if any(column.name in fields for fields in shown)
    )
    first = tuple(tuple(str(fields.get(name, "")) for name in header) for fields in shown)
    return Look(len(rows), header, first, tuple(findings))


def store(subject: Subject, path: Path, *, by: Person | None) -> int:
    """Store every row, and give their number; `CannotDo` with all findings, and nothing stored, if any is wrong."""
    rows, findings = _bring(subject, path, by=by, keep=True)
    if findings:
        raise CannotDo(findings)
    return len(rows)


def _bring(subject: Subject, path: Path, *, by: Person | None, keep: bool) -> tuple[list[Row], list[Finding]]:
    wrong = Findings()
    rows = list(_rows(subject, path, wrong))
    wrong.stop_if_any()
    if not rows:
        raise CannotDo(
            [Finding("table", "no rows", "at least one row below the header", "Look at the file.")]
        )
    found: list[Finding] = []
    with transaction.atomic():
        for together in _together(subject, rows):
            found += _store_one(subject, together, by)
        if found or not keep:
            transaction.set_rollback(True)
    return rows, found[:MOST_FINDINGS]


def _store_one(subject: Subject, rows: list[Row], by: Person | None) -> list[Finding]:
    where = f"row {rows[0].number}"
    try:
        with transaction.atomic():
            subject.store(rows, by)
    except CannotDo as refusal:
        return [one if one.where.startswith("row ") else Finding(f"{where}, {one.where}", one.given, one.wanted, one.do)
                for one in refusal.findings]  # fmt: skip
    except IntegrityError as error:
        return [Finding(where, str(error)[:200], "what the records can hold", "Check this row.")]
    return []


def _rows(subject: Subject, path: Path, wrong: Findings) -> Iterator[Row]:
    sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
    for number, cells in read_rows(path, subject.wanted(), wrong):
        fields = with_units(cells, subject.columns)
        if fields:
            yield Row(number, Entry(fields, f"row {number}", Findings()), f"{number}-{sha256}")


def _together(subject: Subject, rows: list[Row]) -> list[list[Row]]:
    """Rows that make one record; each alone unless the subject says which columns they share."""
    if not subject.together:
        return [[row] for row in rows]
    groups: dict[tuple[str, ...], list[Row]] = {}
    for row in rows:
        shared = tuple(str(row.entry.fields.get(name, "")).strip().lower() for name in subject.together)
        groups.setdefault(shared, []).append(row)
    return list(groups.values())
