"""`gambrel grade`: the shop's estimate of yield and quality grade, for one carcass or a table of them."""

from __future__ import annotations

from pathlib import Path

import click

from gambrel.catalog.kinds import Kind, read_kinds, shipped_kinds
from gambrel.cli.grade_entry import read_face
from gambrel.cli.grade_page import page
from gambrel.cli.grade_table import grade_table
from gambrel.cli.report import answers, as_json, print_json
from gambrel.files.reading import read_toml
from gambrel.measures import Entry, Findings
from gambrel.standards.carcass_grades import FORMS, grade_carcass


@click.command("grade")
@click.option("--kind", help="grain-finished, grass-finished, wagyu, bison, or one of your own.")
@click.option("--sex", help="steer, heifer, cow, bullock or bull.")
@click.option("--hot", help="Hot carcass weight, both sides: 750lb.")
@click.option("--fat", help="Fat over the ribeye at three quarters, adjusted: 0.40in.")
@click.option("--ribeye", help="Ribeye area: 12.8in2.")
@click.option("--dots", help="Instead of --ribeye: dots inside the eye and on its edge, 98,9.")
@click.option("--kph", help="Kidney, pelvic and heart fat, % of the carcass; else the kind's mean.")
@click.option("--marbling", help="Score or degree: 430, or Small 30.")
@click.option("--maturity", help="A to E, or with hundredths: B60.")
@click.option("--age-months", help="Age by record, in months.")
@click.option("--teeth", help="Permanent incisors, 0 to 8.")
@click.option("--ph", help="Muscle pH, to be told of a dark cutter.")
@click.option("--muscle-score", help="Canadian muscle score 1 to 4.")
@click.option("--sixth-rib", help="For Japan: ribeye, rib thickness and fat between ribs 6 and 7.")
@click.option("--bms", help="For Japan: beef marbling standard number, 1 to 12.")
@click.option("--form", default="equation", help="equation (as published) or bench (the short cut).")
@click.option("--kinds", help="A TOML file with kinds of your own.")
@click.option("--table", help="A CSV file with one carcass a row.")
@as_json
@answers
def command(as_json: bool, form: str, kinds: str | None, table: str | None, **typed: str | None) -> int:
    """Estimate yield grade, retail cuts and quality grade from the rib face.

    For one carcass give --kind, --sex, --hot, --fat and --ribeye or --dots; the rest as far as it is known.
    The table takes the columns kind, sex, hot_lb or hot_kg, fat_in or fat_mm, ribeye_in2 or ribeye_cm2,
    and, if there, kph_pct, marbling, maturity, age_months and teeth. Every grade is the shop's own
    estimate: only a licensed grader gives the official one, and no USDA grade covers bison.
    """
    findings = Findings()
    known = _kinds(kinds, findings)
    given = {name: value for name, value in typed.items() if value is not None}
    options = Entry(given | {"form": form}, "", findings)
    by = options.word("form", FORMS, required=True) or FORMS[0]
    if table is not None:
        for name in given:
            options.wrong(name, given[name], "either --table or one carcass", "Take one of the two out.")
        findings.stop_if_any()
        return grade_table(Path(table), known, form=by, as_json=as_json)
    face = read_face(options, known)
    findings.stop_if_any()
    assert face is not None  # read_face gives none only with a finding
    grades = grade_carcass(face, form=by)
    if as_json:
        print_json(grades.as_json())
    else:
        print(page(grades))
    return 0


def _kinds(kinds_file: str | None, findings: Findings) -> dict[str, Kind]:
    if kinds_file is None:
        return shipped_kinds()
    known = read_kinds(read_toml(Path(kinds_file)), shipped_kinds(), findings)
    findings.stop_if_any()
    return known
