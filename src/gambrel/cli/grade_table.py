"""A table of carcasses: each row graded by itself, and a bad one reported while the rest goes on."""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path

from gambrel.catalog.kinds import Kind
from gambrel.cli.grade_entry import STAND_IN, read_face
from gambrel.cli.report import complain, print_json
from gambrel.files.reading import read_csv_rows
from gambrel.measures import Entry, Findings
from gambrel.measures.units import lb_from_kg
from gambrel.standards.carcass_grades import Grades, grade_carcass

MEASURED = {
    "hot": (("hot_lb", "lb"), ("hot_kg", "kg")),
    "fat": (("fat_in", "in"), ("fat_mm", "mm")),
    "ribeye": (("ribeye_in2", "in2"), ("ribeye_cm2", "cm2")),
}
"""Field to the columns it may stand in and their units."""

PLAIN = {
    "kind": "kind",
    "sex": "sex",
    "kph": "kph_pct",
    "marbling": "marbling",
    "maturity": "maturity",
    "age_months": "age_months",
    "teeth": "teeth",
}
"""Field to its column; all but kind and sex may be left out."""

WANTED = {"kind": ("kind",), "sex": ("sex",)} | {
    field: tuple(name for name, _ in columns) for field, columns in MEASURED.items()
}
COLUMNS = (*PLAIN.values(), *(name for columns in MEASURED.values() for name, _ in columns))
TOO_MANY = "cells beyond the header"

_NUMBER = re.compile(r"\s*[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?\s*", re.ASCII)
_HEADING = "  row  kind            sex        hot lb  hot kg  yield  whole  cuts %  quality"
_FOOT = "Estimates by the shop, none official: only a licensed grader gives a grade."
_BISON = "Bison: yield grade and cuts are a guide only, for no USDA grade covers bison."


def grade_table(path: Path, kinds: Mapping[str, Kind], *, form: str, as_json: bool) -> int:
    """Print a line for each row of the file, in order; exit status 1 when any row was bad."""
    rows = read_csv_rows(path, WANTED, Findings())
    if not as_json:
        print(_HEADING)
    status, bison = 0, False
    for number, cells in rows:
        findings = Findings()
        face = read_face(entry_of_row(number, cells, findings), kinds)
        if face is None or findings:
            status = 1
            complain(findings)
            if as_json:
                print_json({"row": number, "findings": [finding.as_json() for finding in findings]})
            else:
                print(f"{number:>5}  not graded")
            continue
        grades = grade_carcass(face, form=form)
        bison = bison or face.species == "bison"
        if as_json:
            print_json({"row": number} | grades.as_json())
        else:
            print(_line(number, cells, grades))
    if not as_json:
        print(f"{_BISON}\n{_FOOT}" if bison else _FOOT)
    return status


def entry_of_row(number: int, cells: Mapping[str, str], findings: Findings) -> Entry:
    """One row with its units put on, as if it had been typed; slips in the form of the table are findings."""
    row = Entry({}, f"row {number}", findings)
    fields = {field: cells[name] for field, name in PLAIN.items() if name in cells}
    for field, columns in MEASURED.items():
        filled = [(name, unit) for name, unit in columns if cells.get(name, "").strip()]
        if len(filled) > 1:
            row.wrong(field, " and ".join(name for name, _ in filled), "one of the two", "Empty one cell.")
        for name, unit in filled[:1]:
            cell = cells[name]
            if _NUMBER.fullmatch(cell):
                fields[field] = cell.strip() + unit
            else:
                row.wrong(name, cell, f"a plain number of {unit}", "The heading gives the unit: write 12.5.")
                fields[field] = STAND_IN[field]
    if TOO_MANY in cells:
        row.wrong(
            "cells", f"{cells[TOO_MANY]} too many", "a cell for each heading", "Look for a comma too many."
        )
    if any("\n" in cells.get(name, "") for name in COLUMNS):
        do = "Close the quotation mark: the rows it swallowed were not graded."
        row.wrong("cells", "a cell over several lines", "each cell on one line", do)
    return Entry(fields, row.where, findings)


def _line(number: int, cells: Mapping[str, str], grades: Grades) -> str:
    kg = grades.face.hot_kg
    words = f"{number:>5}  {cells['kind'].strip()[:15]:<16}{grades.face.sex:<9}"
    weights = f"{lb_from_kg(kg):>8.0f}{kg:>8.1f}"
    figures = f"{grades.yield_grade:>7.2f}{grades.yield_grade_whole:>7}{grades.bctrc_pct:>8.1f}"
    return f"{words}{weights}{figures}  {grades.quality_part or grades.quality_grade or '-'}"
