"""Readings of the coolers: kept once, put right by new lines."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from django.db import transaction

from gambrel.measures import CannotDo, Finding
from gambrel.shop.records.models import CoolerReading, CoolerRoom, Person
from gambrel.shop.records.services.once import written_once
from gambrel.shop.records.services.replaced import stop_if_replaced
from gambrel.shop.records.services.trail import record


@transaction.atomic
def read_room(
    room: CoolerRoom, *, at: datetime, by: Person | None, air_c: float | None = None, carcass_c: float | None = None,
    deep_c: float | None = None, humidity_pct: float | None = None, note: str = "", key: UUID | None = None,
    corrects: CoolerReading | None = None,
) -> CoolerReading:  # fmt: skip
    """A line of the log; the same `key` sent again gives the line that is there. A correction needs its reason."""
    if key is not None and (there := CoolerReading.objects.filter(key=key).first()) is not None:
        return there
    figures = {"air_c": air_c, "carcass_c": carcass_c, "deep_c": deep_c, "humidity_pct": humidity_pct}
    if corrects is None and all(figure is None for figure in figures.values()):
        raise CannotDo(
            [Finding("cooler reading", "nothing", "at least one figure", "Type what the probe shows.")]
        )
    stop_if_replaced(corrects, "cooler reading", do="Look at the log again.")
    line, is_new = written_once(
        lambda: CoolerReading.objects.create(room=room, at=at, by=by, note=note, corrects=corrects, **figures,
                                             **({"key": key} if key else {})),
        lambda: CoolerReading.objects.filter(key=key).first() if key else None,
    )  # fmt: skip
    if is_new and corrects is not None:
        before = {name: getattr(corrects, name) for name in figures}
        record(by, "put a reading right", room, before=before, after=figures, why=note)
    return line
