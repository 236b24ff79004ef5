"""A key names one line for ever; what a device may not send, and what it sends that is none: nothing is stored."""

from __future__ import annotations

import json
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from gambrel.shop.records.models import (
    CoolerReading,
    CoolerRoom,
    Customer,
    Cutting,
    Device,
    Order,
    ScaleWeight,
    Side,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.services import block, devices

pytestmark = pytest.mark.django_db
Send = Callable[..., Any]
STORED = (Weighing, ScaleWeight, CoolerReading, Order, Customer)


def sender(key: str) -> Send:
    client = Client(headers={"X-Device-Key": key})
    return lambda path, sent: client.post(f"/api{path}", json.dumps(sent), content_type="application/json")


@pytest.fixture
def send(demo_shop: Any) -> Send:
    return sender(devices.make("Block scale", may_write=True, by=demo_shop.person("owner"))[1])


@pytest.fixture
def cutting(demo_shop: Any) -> Cutting:
    side = Side.objects.select_related("animal").order_by("hung_at", "pk")[0]
    return block.begin(side, weight_kg=Decimal("150.000"), typed="150 kg", ways={}, by=None, key=uuid4())


def counts() -> list[int]:
    return [model.objects.count() for model in STORED]


def bodies(cutting: Cutting, **keys: str) -> dict[str, tuple[str, dict[str, Any]]]:
    """For each thing that may be sent: its address, and a body that is right."""
    line = block.weigh_piece(
        cutting, "ribeye-steak", weight_kg=Decimal(42), typed="42 kg", key=uuid4(), by=None
    )
    key = keys.get("key", str(uuid4()))
    room = CoolerRoom.objects.filter(closed_on=None)[0]
    return {
        "side": (f"/sides/{cutting.side_id}/weighings", {"key": key, "weight_kg": 151.2}),
        "piece": (f"/cuttings/{cutting.pk}/weights", {"key": key, "slug": "tri-tip", "weight_kg": 1.2}),
        "correction": (f"/weights/{line.pk}/corrections", {"key": key, "why": "point", "weight_kg": 4.2}),
        "taken out": (f"/weights/{line.pk}/corrections", {"key": key, "why": "not its", "taken_out": True}),
        "reading": (f"/rooms/{room.pk}/readings", {"key": key, "air_c": 2.5, "humidity_pct": 88.0}),
        "order": ("/orders", {"key": key, "customer": "The Juniper Table", "slug": "ribeye-steak",
                              "kinds": ["bison"], "weight_kg": 5.0, "by_day": "2026-03-20",
                              "price_cents_per_kg": 5500.0}),
    }  # fmt: skip


EVERY = ("side", "piece", "correction", "taken out", "reading", "order")


@pytest.mark.parametrize("what", EVERY)
def test_sent_three_times_it_is_stored_once_and_answered_the_same(
    send: Send, cutting: Cutting, what: str
) -> None:
    path, sent = bodies(cutting)[what]
    before = counts()
    answers = [send(path, sent) for _ in range(3)]
    assert [one.status_code for one in answers] == [201] * 3
    assert answers[0].json() == answers[1].json() == answers[2].json()
    assert sum(counts()) == sum(before) + 1


# One line each: what is sent first, and the change that is another line under the same key.
@pytest.mark.parametrize(
    ("what", "change"),
    [("side", {"weight_kg": 151.3}), ("piece", {"weight_kg": 1.3}), ("piece", {"slug": "flank-steak"}),
     ("correction", {"weight_kg": 4.3}), ("correction", {"slug": "tri-tip"}), ("correction", {"taken_out": True}),
     ("taken out", {"taken_out": False, "weight_kg": 4.2}), ("reading", {"air_c": 2.6}),
     ("reading", {"deep_c": 4.0}), ("reading", {"humidity_pct": None}), ("order", {"weight_kg": 5.1}),
     ("order", {"slug": "tri-tip"}), ("order", {"by_day": "2026-03-21"})],
    ids=str,
)  # fmt: skip
def test_another_content_under_the_same_key_is_told_and_not_stored(
    send: Send, cutting: Cutting, what: str, change: dict[str, Any]
) -> None:
    path, sent = bodies(cutting)[what]
    assert send(path, sent).status_code == 201
    before = counts()
    answer = send(path, {**sent, **change})
    assert answer.status_code == 409
    assert "used for already" in answer.json()["findings"][0]["wanted"]
    assert counts() == before


def test_one_key_for_a_piece_and_its_correction_is_told(send: Send, cutting: Cutting) -> None:
    path, sent = bodies(cutting)["piece"]
    first = send(path, sent).json()
    answer = send(f"/weights/{first['id']}/corrections", {"key": sent["key"], "why": "x", "weight_kg": 1.2})
    assert answer.status_code == 409
    assert ScaleWeight.objects.filter(corrects=first["id"]).count() == 0


@pytest.mark.parametrize("what", EVERY)
def test_a_device_that_may_only_read_stores_nothing(demo_shop: Any, cutting: Cutting, what: str) -> None:
    made = bodies(cutting)[what]
    reader = sender(devices.make("Board", may_write=False, by=demo_shop.person("owner"))[1])
    before = counts()
    assert reader(*made).status_code == 403
    assert sender("")(*made).status_code == sender("x" * 500)(*made).status_code == 401
    assert counts() == before


@pytest.mark.parametrize("what", EVERY)
def test_a_key_that_was_withdrawn_writes_no_more(demo_shop: Any, cutting: Cutting, what: str) -> None:
    owner = demo_shop.person("owner")
    _, key = devices.make("Old scale", may_write=True, by=owner)
    devices.withdraw(Device.objects.get(name="Old scale"), by=owner)
    before = counts()
    assert sender(key)(*bodies(cutting)[what]).status_code == 401
    assert [now - then for now, then in zip(counts(), before, strict=True)] == [0, 1, 0, 0, 0], (
        "the made line"
    )


@pytest.mark.parametrize(
    ("what", "change"),
    [("order", {"customer": ""}), ("order", {"customer": "   "}), ("order", {"customer": "x" * 81}),
     ("order", {"customer": "a\nb"}), ("order", {"kinds": []}), ("order", {"kinds": ["bison"] * 21}),
     ("order", {"price_cents_per_kg": -1}), ("order", {"shelf_days": 366}), ("order", {"by_day": "20 March"}),
     ("correction", {"why": " "}), ("correction", {"why": ""}), ("correction", {"why": "\u0007"}),
     ("correction", {"why": "x" * 201}), ("piece", {"tare_kg": -0.1}), ("piece", {"tare_kg": 101}),
     ("piece", {"slug": "Tri Tip"}), ("piece", {"key": "7"}), ("piece", {"key": None}), ("side", {"weight_kg": "NaN"}),
     ("side", {"at": "2026-03-09T07:00:00"}), ("side", {"typed": "1" * 31}), ("reading", {"humidity_pct": 101}),
     ("reading", {"air_c": -61}), ("reading", {"deep_c": "warm"}), ("reading", {"note": "\x00"})],
    ids=str,
)  # fmt: skip
def test_what_is_out_of_bounds_is_told_by_its_name_and_not_stored(
    send: Send, cutting: Cutting, what: str, change: dict[str, Any]
) -> None:
    path, sent = bodies(cutting)[what]
    before = counts()
    answer = send(path, {**sent, **change})
    assert answer.status_code == 422
    assert any(next(iter(change)) in one["where"] for one in answer.json()["findings"])
    assert counts() == before


def test_two_orders_of_one_customer_are_of_one_customer(send: Send, cutting: Cutting) -> None:
    path, sent = bodies(cutting)["order"]
    before = Customer.objects.count()
    for name in ("Ford Road Kitchen", "ford road kitchen"):
        assert send(path, {**sent, "key": str(uuid4()), "customer": name}).status_code == 201
    assert Customer.objects.count() == before + 1


def test_a_reading_without_a_figure_is_none(send: Send, cutting: Cutting) -> None:
    path, sent = bodies(cutting)["reading"]
    answer = send(path, {"key": sent["key"], "note": "looked in"})
    assert answer.status_code == 409 and "at least one figure" in answer.json()["findings"][0]["wanted"]
