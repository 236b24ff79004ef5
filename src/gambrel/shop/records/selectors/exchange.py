"""Everything the shop has, as tables: for a spreadsheet, for another program, or to look something up elsewhere."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import IO, Any

from django.apps import apps
from django.db.models import F, Model

from gambrel.files.sheets.csv_out import harmless
from gambrel.files.sheets.table import Table, Value, text
from gambrel.files.sheets.xlsx_out import xlsx_bytes
from gambrel.shop.records.models import Device

SECRET = {("person", "password"), ("device", "fingerprint")}
"""What stays at home."""

MOST_ROWS_IN_WORKBOOK = 20_000
"""Of each table, the newest; a table of millions of lines is for the zip."""

BATCH = 5_000


@dataclass(frozen=True, slots=True)
class ExchangePage:
    devices: tuple[Device, ...]


def exchange_page() -> ExchangePage:
    """Keys that were made, those that open first."""
    devices = Device.objects.select_related("made_by").order_by(
        F("withdrawn_at").asc(nulls_first=True), "name"
    )
    return ExchangePage(tuple(devices))


def write_zip(out: IO[bytes], *, made_at: datetime) -> None:
    """A CSV of every table into `out`, line by line, so that millions of packs need no memory."""
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=4) as archive:
        for model in _models():
            with archive.open(f"{model._meta.model_name}.csv", "w", force_zip64=True) as raw:
                _write_csv(raw, model)
        archive.writestr("about.txt", f"Every table of the shop, {made_at:%Y-%m-%d %H:%M} UTC. Times are UTC, "
                                      "weights kilograms, money cents. Passwords and keys are left out.\n")  # fmt: skip


def workbook(*, made_on: date) -> bytes:
    """One workbook, a tab for each table that has lines."""
    tables, notes = [], ["Times are UTC, weights kilograms, money cents. Passwords and keys are left out."]
    for model in _models():
        rows = list(_rows(model, newest=MOST_ROWS_IN_WORKBOOK))
        if len(rows) == MOST_ROWS_IN_WORKBOOK:
            notes.append(
                f"{model._meta.model_name}: the newest {MOST_ROWS_IN_WORKBOOK:,} lines; the zip has all."
            )
        if rows:
            tables.append(Table(str(model._meta.model_name), tuple(text(name) for name in _columns(model)),
                                tuple(tuple(_value(cell) for cell in row) for row in rows)))  # fmt: skip
    return xlsx_bytes(tables, title="Everything of the shop", made_on=made_on, notes=notes)


def _models() -> list[type[Model]]:
    return sorted(apps.get_app_config("records").get_models(), key=lambda model: str(model._meta.model_name))


def _columns(model: type[Model]) -> list[str]:
    return [field.attname for field in model._meta.concrete_fields
            if (str(model._meta.model_name), field.name) not in SECRET]  # fmt: skip


def _rows(model: type[Model], *, newest: int | None = None) -> Iterator[tuple[Any, ...]]:
    rows = model._base_manager.values_list(*_columns(model))
    if newest is None:
        return iter(rows.order_by("pk").iterator(chunk_size=BATCH))
    return iter(rows.order_by("-pk")[:newest])


def _write_csv(raw: IO[bytes], model: type[Model]) -> None:
    with io.TextIOWrapper(raw, "utf-8-sig", newline="", errors="replace", write_through=False) as out:
        writer = csv.writer(out, lineterminator="\r\n")
        writer.writerow(_columns(model))
        for row in _rows(model):
            writer.writerow(["" if cell is None else harmless(str(_value(cell))) if isinstance(cell, (str, dict, list))
                             else _value(cell) for cell in row])  # fmt: skip


def _value(cell: Any) -> Value:
    """A cell as a spreadsheet takes it."""
    if cell is None or (isinstance(cell, (str, int, float)) and not isinstance(cell, bool)):
        return cell
    if isinstance(cell, Decimal):
        return str(cell)
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ", timespec="seconds")
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, (dict, list)):
        return json.dumps(cell, ensure_ascii=False)
    return str(cell)
