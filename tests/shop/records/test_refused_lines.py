"""A line that the records refuse is told as such, not as one that cannot be found; one sent twice is kept once."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from gambrel.shop.clock import now
from gambrel.shop.records.models import CoolerReading, CoolerRoom, Side, Weighing
from gambrel.shop.records.services.cooler import read_room
from gambrel.shop.records.services.rail import weigh

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.mark.parametrize("weight_kg", ["0", "-3"])
def test_a_weight_of_nothing_is_refused_by_the_records(weight_kg: str) -> None:
    side = Side.objects.select_related("animal").filter(state="hanging")[0]
    before = Weighing.objects.count()
    with pytest.raises(IntegrityError, match="weighing_above_zero"), transaction.atomic():
        weigh(side, weight_kg=Decimal(weight_kg), typed="?", at=now(), by=None, key=uuid4())
    assert Weighing.objects.count() == before


def test_a_humidity_beyond_all_is_refused_by_the_records() -> None:
    room = CoolerRoom.objects.all()[0]
    before = CoolerReading.objects.count()
    with pytest.raises(IntegrityError, match="cooler_humidity"), transaction.atomic():
        read_room(room, at=now(), by=None, air_c=1.5, humidity_pct=130.0, key=uuid4())
    assert CoolerReading.objects.count() == before


def test_the_same_line_sent_again_is_the_line_that_is_there() -> None:
    room, key = CoolerRoom.objects.all()[0], uuid4()
    first = read_room(room, at=now(), by=None, air_c=1.5, key=key)
    assert read_room(room, at=now(), by=None, air_c=9.9, key=key) == first
    assert CoolerReading.objects.get(key=key).air_c == 1.5
    side, key = Side.objects.select_related("animal").filter(state="hanging")[0], uuid4()
    kept = weigh(side, weight_kg=Decimal("150"), typed="150 kg", at=now(), by=None, key=key)
    assert weigh(side, weight_kg=Decimal("151"), typed="151 kg", at=now(), by=None, key=key) == kept
    assert Weighing.objects.get(key=key).weight_kg == Decimal("150")
