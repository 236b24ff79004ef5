"""Suppliers by name; one that is there already gets the new contact and note."""

from __future__ import annotations

from collections.abc import Sequence

from gambrel.shop.records.imports.subject import Column, Row, Subject
from gambrel.shop.records.models import Person, Supplier
from gambrel.shop.records.services.animals import note_supplier


def store(rows: Sequence[Row], by: Person | None) -> None:
    (row,) = rows
    entry = row.entry
    name = entry.text("name", required=True, longest=80)
    contact, note = entry.text("contact", longest=120) or "", entry.text("note", longest=500) or ""
    entry.no_more()
    entry.findings.stop_if_any()
    supplier, _ = Supplier.objects.get_or_create(name=name)
    note_supplier(supplier, contact=contact or supplier.contact, note=note or supplier.note, by=by)


SUPPLIERS = Subject(
    "suppliers",
    (Column("name", "Larkspur Draw", True), Column("contact", "gate by the cottonwoods"),
     Column("note", "grass all year")),
    store,
)  # fmt: skip
