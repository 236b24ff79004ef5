"""A line that comes twice at the same moment is one line; a line that the records refuse stays refused."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError

from gambrel.measures import CannotDo
from gambrel.shop.clock import now
from gambrel.shop.records.models import AuditLine, CoolerReading, CoolerRoom, Side
from gambrel.shop.records.services import cooler, rail
from gambrel.shop.records.services.once import written_once

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def written(key: UUID, *, air_c: float, humidity_pct: float = 85.0) -> tuple[CoolerReading, bool]:
    room = CoolerRoom.objects.all()[0]
    return written_once(
        lambda: CoolerReading.objects.create(room=room, at=now(), key=key, air_c=air_c, humidity_pct=humidity_pct),
        lambda: CoolerReading.objects.filter(key=key).first(),
    )  # fmt: skip


def test_the_first_is_written_and_the_second_finds_it() -> None:
    key = uuid4()
    first, is_new = written(key, air_c=1.5)
    assert is_new
    second, is_new = written(key, air_c=9.9)
    assert not is_new and second == first
    assert CoolerReading.objects.get(key=key).air_c == 1.5


def test_the_records_go_on_after_a_line_that_came_twice() -> None:
    """The clash is undone by itself, not with all that was written before it."""
    key, before = uuid4(), CoolerReading.objects.count()
    written(key, air_c=1.5)
    written(key, air_c=9.9)
    written(uuid4(), air_c=2.5)
    assert CoolerReading.objects.count() == before + 2


def test_what_no_line_explains_is_refused() -> None:
    before = CoolerReading.objects.count()
    with pytest.raises(IntegrityError, match="cooler_humidity"):
        written(uuid4(), air_c=1.5, humidity_pct=130.0)
    assert CoolerReading.objects.count() == before, "and the records can still be asked"


def test_a_correction_that_came_twice_at_once_has_one_line_in_the_trail(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The other way was quicker by a moment: nothing was there when it was looked for, and is when it is written."""
    room, key = CoolerRoom.objects.all()[0], uuid4()
    wrong = cooler.read_room(room, at=now(), by=None, air_c=15.0)

    def quicker(write, find):  # type: ignore[no-untyped-def]
        if find() is None:
            cooler_line = CoolerReading.objects.create(
                room=room, at=now(), air_c=1.5, key=key, corrects=wrong, note="-"
            )
            assert find() == cooler_line
        return written_once(write, find)

    monkeypatch.setattr(cooler, "written_once", quicker)
    lines = AuditLine.objects.filter(what="put a reading right")
    before = lines.count()
    kept = cooler.read_room(room, at=now(), by=None, air_c=1.5, note="a slip", key=key, corrects=wrong)
    assert kept.note == "-" and lines.count() == before


def test_a_line_that_was_taken_out_is_not_put_right_any_more() -> None:
    """It says that another should not be there; what is right is a line of its own."""
    side = Side.objects.select_related("animal").filter(state="hanging")[0]
    said: dict[str, Any] = {"weight_kg": Decimal("140"), "typed": "140 kg", "at": now(), "by": None}
    first = rail.weigh(side, **said)
    out = rail.weigh(side, **said, corrects=first, taken_out=True, why="the other side's")
    with pytest.raises(CannotDo, match="put right twice"):
        rail.weigh(side, **said, corrects=out, why="again")
    assert set(side.weighings.filter(pk__gte=first.pk)) == {first, out}
