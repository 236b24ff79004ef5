"""The record of a batch to print and file: every field of the rule under its letter, and what the shop adds."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.pdf_out import heading
from gambrel.files.sheets.typeset import typeset, words_shown
from gambrel.files.speech import finding_spoken, spoken
from gambrel.grind.record import CITE, GrindingRecord, Material
from gambrel.measures.units import f_from_c, lb_from_kg

KEEP = f"{CITE} and 9 CFR 320.2, 320.3: keep it for a year where the meat was ground."


def grinding_record_pdf(
    head: Head, record: GrindingRecord, *, out_kg: float | None, meat_c: float | None, plate_mm: float | None,
    made_by: str, why: str, tests: Iterable[tuple[datetime, float, str]], paper: str = "letter",
) -> bytes:  # fmt: skip
    """The record as a document. What is missing of an open batch stands among the notes."""
    lean = (
        "" if record.lean_pct is None else f"{record.lean_pct:.1f} % lean, {100 - record.lean_pct:.1f} % fat"
    )
    facts = [
        ("product", f"{record.product}, {record.stated_lean_pct:g} % lean stated"),
        ("expected of the trim", lean),
        ("D made", _time(record.made_at)),
        ("E cleaned and sanitised", _time(record.cleaned_at)),
        ("in", _weight(record.in_kg)),
        ("out", "" if out_kg is None else _weight(out_kg)),
        ("meat", "" if meat_c is None else f"{meat_c:.1f} °C · {f_from_c(meat_c):.0f} °F"),
        ("grinder plate", "" if plate_mm is None else f"{plate_mm:g} mm"),
        ("ground by", made_by),
    ]
    notes = [f"Fat tested {at:%Y-%m-%d %H:%M}: {fat:g} % {how}" for at, fat, how in tests]
    notes += [spoken(f"Missing: {finding_spoken(finding)}") for finding in record.missing()]
    notes += [why] if why else []
    data = {
        **heading(head, [words_shown(note) for note in [*notes, KEEP]],
                  [(name, words_shown(said)) for name, said in facts if said]),
        "rows": [_row(one) for one in record.materials],
    }  # fmt: skip
    return typeset("grinding", data, {}, paper=paper, made_on=head.made_on)


def _row(one: Material) -> list[str]:
    made = "" if one.made_on is None else f"{one.made_on:%Y-%m-%d}"
    species = ", ".join(one.species_share)
    said = (one.plant, one.lot, made, one.name, species, f"{one.lean_pct:.1f} %", _weight(one.weight_kg))
    return [words_shown(text) for text in said]


def _time(at: datetime | None) -> str:
    return "" if at is None else f"{at:%Y-%m-%d %H:%M}"


def _weight(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):.2f} lb · {weight_kg:.2f} kg"
