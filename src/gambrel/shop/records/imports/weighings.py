"""Weights of sides that hang, as a scale or another program noted them."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from datetime import datetime, time, timedelta
from decimal import Decimal

from django.utils import timezone

from gambrel.measures import Entry
from gambrel.measures.units import MASS
from gambrel.shop.clock import now
from gambrel.shop.records.imports.subject import Column, Row, Subject
from gambrel.shop.records.models import Person, Side
from gambrel.shop.records.services.rail import weigh

SPACE = uuid.UUID("6b1f6d0e-54c5-4f0e-9d6b-9a3f3c1f7a52")


def store(rows: Sequence[Row], by: Person | None) -> None:
    """The same row of the same file brought again is stored once."""
    (row,) = rows
    entry = row.entry
    side, at = _side(entry), _at(entry)
    weight_kg = entry.quantity("weight", MASS, low=10, high=1000, required=True)
    typed = str(entry.raw("weight") or "")[:30]
    entry.no_more()
    entry.findings.stop_if_any()
    assert side is not None and at is not None and weight_kg is not None
    weigh(
        side, weight_kg=Decimal(f"{weight_kg:.3f}"), typed=typed, at=at, by=by, key=uuid.uuid5(SPACE, row.key)
    )


def _side(entry: Entry) -> Side | None:
    name = entry.text("side", required=True, longest=60)
    if name is None:
        return None
    tag, _, half = name.rpartition("-")
    side = Side.objects.select_related("animal").filter(animal__tag__iexact=tag, half=half.lower()).first()
    if side is None:
        entry.wrong("side", name, "an animal's tag and left or right, such as G7-left", "Look at the rail.")
    return side


def _at(entry: Entry) -> datetime | None:
    """A moment in the shop's zone; a day alone means its noon."""
    typed = entry.text("at", required=True)
    if typed is None:
        return None
    try:
        found = datetime.fromisoformat(typed)
    except ValueError:
        entry.wrong(
            "at", typed, "a day and time such as 2026-03-09 07:30", "Write year, month and day first."
        )
        return None
    if found.time() == time(0):
        found = datetime.combine(found.date(), time(12), found.tzinfo)
    known = datetime(1990, 1, 1) < found.replace(tzinfo=None) < datetime(2200, 1, 1)
    at = found if found.tzinfo or not known else timezone.make_aware(found)
    if not known or at > now() + timedelta(days=1):
        entry.wrong("at", typed, "a time gone by", "Check the year.")
        return None
    return at


WEIGHINGS = Subject(
    "weighings",
    (Column("side", "G7-left", True), Column("weight", "346.5 lb", True), Column("at", "2026-03-06 07:30", True)),
    store,
)  # fmt: skip
