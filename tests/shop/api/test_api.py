"""What programs get and send: figures as the records have them, every line once, everything wrong in sentences."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    AuditLine,
    CoolerRoom,
    Cutting,
    Order,
    Plan,
    PlannedSide,
    Price,
    PriceList,
    ScaleWeight,
    Side,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.services import block, devices

pytestmark = pytest.mark.django_db
Ask = Callable[..., Any]


@pytest.fixture
def ask(demo_shop: Any) -> Ask:
    _, key = devices.make("Block scale", may_write=True, by=demo_shop.person("owner"))
    client = Client(headers={"X-Device-Key": key})

    def asked(path: str, sent: Any = None) -> Any:
        if sent is None:
            return client.get(f"/api{path}")
        return client.post(f"/api{path}", data=json.dumps(sent), content_type="application/json")

    return asked


@pytest.fixture
def cutting(demo_shop: Any) -> Cutting:
    side = Side.objects.select_related("animal").order_by("hung_at", "pk")[0]
    return block.begin(side, weight_kg=Decimal("150.000"), typed="150 kg", ways={}, by=None, key=uuid4())


def weight(kg: float = 4.2, slug: str = "ribeye-steak", **more: Any) -> dict[str, Any]:
    return {"key": str(uuid4()), "slug": slug, "weight_kg": kg, **more}


def test_sides_are_those_that_hang_with_their_place(ask: Ask) -> None:
    said = {one["name"]: one for one in ask("/sides").json()}
    assert len(said) == 18
    for side in Side.objects.select_related("animal", "rail__room"):
        one = said[str(side)]
        assert (one["kind"], one["half"], one["rail"]) == (side.animal.kind, side.half, side.rail.name)
        assert one["hot_kg"] == float(side.hot_kg) and one["room"] == side.rail.room.name


def test_a_side_weighed_by_a_scale_is_kept_once(ask: Ask) -> None:
    side = Side.objects.all()[0]
    sent = {
        "key": str(uuid4()),
        "weight_kg": 151.2345,
        "typed": "333.4 lb",
        "at": "2026-03-09T07:00:00-06:00",
    }
    first, again = (ask(f"/sides/{side.pk}/weighings", sent) for _ in range(2))
    assert first.status_code == again.status_code == 201 and first.json() == again.json()
    (line,) = Weighing.objects.filter(key=sent["key"])
    assert (line.weight_kg, line.typed, line.at.isoformat()) == (
        Decimal("151.234"), "333.4 lb", "2026-03-09T13:00:00+00:00")  # fmt: skip
    assert first.json()["id"] in [one["id"] for one in ask(f"/sides/{side.pk}/weighings").json()]
    assert AuditLine.objects.filter(record="side", record_id=side.pk, why="by Block scale").count() == 1


def test_a_key_used_for_another_weight_is_told_apart(ask: Ask, cutting: Cutting) -> None:
    sent = weight(4.2)
    assert ask(f"/cuttings/{cutting.pk}/weights", sent).status_code == 201
    other = ask(f"/cuttings/{cutting.pk}/weights", {**sent, "weight_kg": 4.3})
    assert other.status_code == 409 and "used for already" in other.json()["findings"][0]["wanted"]
    assert ScaleWeight.objects.get(key=sent["key"]).weight_kg == Decimal("4.200")


def test_pieces_come_off_a_side_that_is_cut(ask: Ask, cutting: Cutting) -> None:
    (shown,) = ask("/cuttings").json()
    assert (shown["id"], shown["begun_kg"], shown["side"]) == (cutting.pk, 150.0, str(cutting.side))
    for kg in (4.2, 3.9):
        assert ask(f"/cuttings/{cutting.pk}/weights", weight(kg, tare_kg=0.05)).status_code == 201
    lines = ask(f"/cuttings/{cutting.pk}/weights").json()
    assert [(one["weight_kg"], one["tare_kg"], one["device"]) for one in lines] == [
        (4.2, 0.05, "Block scale"), (3.9, 0.05, "Block scale")]  # fmt: skip
    block.finish(cutting, by=None)
    assert ask("/cuttings").json() == []


def test_a_weight_is_put_right_by_a_new_line_and_once_only(ask: Ask, cutting: Cutting) -> None:
    wrong = ask(f"/cuttings/{cutting.pk}/weights", weight(42.0)).json()
    path = f"/weights/{wrong['id']}/corrections"
    right = ask(path, {"key": str(uuid4()), "why": "decimal point", "weight_kg": 4.2})
    assert right.status_code == 201 and right.json()["corrects_id"] == wrong["id"]
    assert right.json()["slug"] == "ribeye-steak" and right.json()["why"] == "decimal point"
    twice = ask(path, {"key": str(uuid4()), "why": "again", "weight_kg": 4.4})
    assert twice.status_code == 409
    gone = ask(
        f"/weights/{right.json()['id']}/corrections",
        {"key": str(uuid4()), "why": "not its", "taken_out": True},
    )
    assert gone.status_code == 201 and gone.json()["taken_out"] is True
    assert ScaleWeight.objects.filter(cutting=cutting).count() == 3


def test_a_correction_says_what_is_right(ask: Ask, cutting: Cutting) -> None:
    line = ask(f"/cuttings/{cutting.pk}/weights", weight()).json()
    assert ask(f"/weights/{line['id']}/corrections", {"key": str(uuid4()), "why": "wrong"}).status_code == 409
    assert (
        ask(
            f"/weights/{line['id']}/corrections", {"key": str(uuid4()), "why": "", "weight_kg": 1}
        ).status_code
        == 422
    )


@pytest.mark.parametrize("kg", [0, -1, 1001, 1e300, "four", None, True and [4]])
def test_weights_that_are_none_are_refused(ask: Ask, cutting: Cutting, kg: Any) -> None:
    answer = ask(f"/cuttings/{cutting.pk}/weights", weight(kg))
    assert answer.status_code == 422 and answer.json()["findings"]
    assert not ScaleWeight.objects.exists()


@pytest.mark.parametrize("slug", ["steak of nothing", "no-such-piece", "x" * 61, "", "ribeye-steak\u0000"])
def test_pieces_that_are_none_are_refused(ask: Ask, cutting: Cutting, slug: str) -> None:
    assert ask(f"/cuttings/{cutting.pk}/weights", weight(slug=slug)).status_code in (409, 422)
    assert not ScaleWeight.objects.exists()


@pytest.mark.parametrize("at", ["2026-03-09T07:00:00", "1999-12-31T00:00:00Z", "0001-01-01T00:00:00+14:00",
                                "9999-12-31T23:59:59-14:00", "yesterday", "2026-03-10T07:00:00Z"])  # fmt: skip
def test_times_that_cannot_be_are_refused(ask: Ask, at: str) -> None:
    side = Side.objects.all()[0]
    sent = {"key": str(uuid4()), "weight_kg": 150.0, "at": at}
    assert ask(f"/sides/{side.pk}/weighings", sent).status_code == 422


@pytest.mark.parametrize("path", ["/sides/999999/weighings", "/cuttings/999999/weights", "/rooms/999999/readings",
                                  f"/sides/{2**63 - 1}/weighings"])  # fmt: skip
def test_what_is_not_there_is_said_so(ask: Ask, path: str) -> None:
    assert ask(path).status_code == 404


@pytest.mark.parametrize("path", ["/sides/0/weighings", "/sides/-4/weighings", f"/sides/{2**70}/weighings",
                                  "/sides/one/weighings"])  # fmt: skip
def test_numbers_that_are_none_are_refused(ask: Ask, path: str) -> None:
    assert ask(path).status_code in (404, 422)


@pytest.mark.parametrize(
    "body", [b"", b"{", b"[]", b"null", b"\xff\xfe", b'{"key": NaN}', b'"text"', b"[" * 5000]
)
def test_a_body_that_is_no_json_is_refused(demo_shop: Any, cutting: Cutting, body: bytes) -> None:
    _, key = devices.make("Odd scale", may_write=True, by=None)
    answer = Client(headers={"X-Device-Key": key}).post(
        f"/api/cuttings/{cutting.pk}/weights", data=body, content_type="application/json"
    )
    assert answer.status_code in (400, 422) and answer.json()["findings"]


def test_the_coolers_log_comes_newest_first(ask: Ask) -> None:
    rooms = ask("/rooms").json()
    assert [room["name"] for room in rooms] == list(
        CoolerRoom.objects.order_by("pk").values_list("name", flat=True)
    )
    log = ask(f"/rooms/{rooms[0]['id']}/readings").json()
    assert len(log) == 6 and [one["at"] for one in log] == sorted((one["at"] for one in log), reverse=True)


def test_a_probe_writes_the_log_once(ask: Ask) -> None:
    room = CoolerRoom.objects.order_by("pk")[0]
    sent = {"key": str(uuid4()), "air_c": 1.4, "humidity_pct": 84.0}
    first, again = (ask(f"/rooms/{room.pk}/readings", sent) for _ in range(2))
    assert first.status_code == again.status_code == 201 and first.json() == again.json()
    assert room.readings.filter(key=sent["key"], air_c=1.4, by=None).count() == 1
    assert ask(f"/rooms/{room.pk}/readings", {**sent, "air_c": 2.0}).status_code == 409
    assert ask(f"/rooms/{room.pk}/readings", {"key": str(uuid4())}).status_code == 409  # says nothing
    assert ask(f"/rooms/{room.pk}/readings", {"key": str(uuid4()), "air_c": 400}).status_code == 422


ORDER = {"customer": "The Juniper Table", "slug": "ribeye-steak", "kinds": ["bison"], "weight_kg": 5.0,
         "by_day": "2026-03-20", "price_cents_per_kg": 5500.0}  # fmt: skip


def test_an_order_taken_elsewhere_is_there_once(ask: Ask) -> None:
    sent = {**ORDER, "key": str(uuid4())}
    first, again = ask("/orders", sent), ask("/orders", sent)
    assert first.status_code == again.status_code == 201 and first.json() == again.json()
    order = Order.objects.get(code=first.json()["code"])
    assert (order.customer.name, order.kinds, float(order.weight_kg)) == ("The Juniper Table", ["bison"], 5.0)
    assert ask("/orders", {**sent, "weight_kg": 6.0}).status_code == 409


def test_everything_wrong_with_an_order_is_said_at_once(ask: Ask) -> None:
    wrong = {**ORDER, "key": str(uuid4()), "slug": "no-such-cut", "kinds": ["horse"], "by_day": "2020-01-01"}
    answer = ask("/orders", wrong)
    assert answer.status_code == 409
    assert [finding["where"] for finding in answer.json()["findings"]] == ["slug", "kinds", "by_day"]
    assert not Order.objects.filter(slug="no-such-cut").exists()


def test_orders_are_the_open_ones_by_day(ask: Ask) -> None:
    said = ask("/orders").json()
    assert [one["code"] for one in said] == list(
        Order.objects.filter(state="open").order_by("by_day", "pk").values_list("code", flat=True)
    )
    assert ask("/orders?state=filled").json() == [] and ask("/orders?state=lost").status_code == 422


def test_prices_are_those_of_the_newest_list(ask: Ask) -> None:
    assert ask("/prices").json() == {"at": None, "prices": []}
    for days, cents in ((3, 5000.0), (1, 5500.0)):
        newest = PriceList.objects.create(at=now() - timedelta(days=days))
        Price.objects.create(price_list=newest, slug="ribeye-steak", group="beef", price_cents_per_kg=cents)
    (price,) = ask("/prices").json()["prices"]
    assert price["price_cents_per_kg"] == 5500.0 and price["cost_cents_per_kg"] is None


def test_the_plan_of_a_day_is_the_accepted_one(ask: Ask) -> None:
    assert ask("/plan").json() == {"day": "2026-03-09", "plan_id": None, "sides": []}
    side = Side.objects.all()[0]
    plans = [Plan.objects.create(asked_at=now(), start_on=today(), days=7, state="done") for _ in range(2)]
    for plan, ways in zip(plans, ({"rib": "bone-in"}, {"rib": "boneless"}), strict=True):
        PlannedSide.objects.create(plan=plan, side=side, day=today(), weight_kg=150.0, ways=ways)
    Plan.objects.filter(pk=plans[0].pk).update(accepted_at=now())
    said = ask("/plan").json()
    assert said["plan_id"] == plans[0].pk
    assert said["sides"] == [
        {"side_id": side.pk, "side": str(side), "weight_kg": 150.0, "ways": {"rib": "bone-in"}}
    ]
    assert ask("/plan?day=2026-03-10").json()["sides"] == []
