"""Today: every matter appears when its cause is there, goes to a page that exists, and goes away with its cause."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from gambrel.plan.result import Filled, Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.pages.today.templatetags.matters import matter_address
from gambrel.shop.records.models import (
    Animal,
    CoolerReading,
    CoolerRoom,
    Cutting,
    FaceAccepted,
    FaceReading,
    Lot,
    Order,
    Pack,
    Person,
    Plan,
    ShopProfile,
    Side,
    SideState,
)  # fmt: skip
from gambrel.shop.records.selectors.today import Matter, today_page
from gambrel.shop.records.services import packs
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.services.cooler import read_room

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quiet_shop")]


@pytest.fixture
def quiet_shop(demo_shop: object) -> None:
    """The invented shop with nothing pressing: no side, no order, every cooler just read."""
    Side.objects.update(state=SideState.GONE)
    Order.objects.update(state="cancelled")
    for room in CoolerRoom.objects.all():
        read_room(room, at=now() - timedelta(hours=1), by=None, air_c=2.0)


def matters(what: str | None = None) -> list[Matter]:
    found = today_page(at=now()).matters
    return [one for one in found if what is None or one.what == what]


def hung(tag: str, *, days_ago: int, kind: str = "bison") -> Side:
    """A side that was killed so many days ago; bison hang 5 to 10 days, best 7, and need a face two days before."""
    animal = Animal.objects.create(
        tag=tag, kind=kind, sex="bull", killed_on=today() - timedelta(days=days_ago)
    )
    return Side.objects.create(
        animal=animal, half="left", hot_kg=Decimal("150"), hung_at=now() - timedelta(days=days_ago)
    )


def accepted(solver: Callable[..., PlanResult], days: int = 14) -> Plan:
    owner = Person.objects.get(role="owner")
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=days, seconds=5, by=owner)
    return service.accept(service.solve(asked.pk, solver=solver), by=owner)


def cut_after(days: int, filled: tuple[Filled, ...] = ()) -> Callable[..., PlanResult]:
    def solver(week: Week, **asked: Any) -> PlanResult:
        day = week.shop.start + timedelta(days=days)
        sides = tuple(SidePlan(one.side_id(half), one.id, half, one.kind.slug, day, 145.0, {})
                      for one in week.animals for half in one.side_hot_kg)  # fmt: skip
        return PlanResult("optimal", 0, 0.0, 0.1, Money(), sides=sides, filled=filled)

    return solver


def test_a_quiet_shop_has_nothing_to_say(owner_client: Client) -> None:
    assert matters() == []
    assert "Nothing presses" in owner_client.get(reverse("today")).content.decode()


def test_a_side_past_its_latest_day() -> None:
    latest = ShopProfile.objects.get() and 10
    hung("OLD", days_ago=latest + 3)
    late = matters("side_late")
    assert [one.about["side"] for one in late] == ["OLD-left"]
    assert late[0].urgency == "now" and late[0].about["days"] == 3


def test_a_side_on_its_last_days_is_soon_and_a_fresh_one_is_neither() -> None:
    hung("LAST", days_ago=9)
    hung("NEW", days_ago=1)
    assert [one.about["side"] for one in matters("side_last_day")] == ["LAST-left"]
    assert matters("side_late") == []


def test_a_face_is_wanted_when_a_side_nears_its_window_and_not_once_one_is_accepted() -> None:
    side = hung("FACE", days_ago=5)
    hung("NEW", days_ago=0)
    assert [one.about["side"] for one in matters("face_missing")] == ["FACE-left"]
    reading = FaceReading.objects.create(side=side, at=now(), how="hand", fat_mm=8.0)
    FaceAccepted.objects.create(reading=reading, side=side, at=now())
    assert matters("face_missing") == []


def test_a_cooler_that_was_not_read_and_one_that_is_warm() -> None:
    unread = CoolerRoom.objects.create(name="Forgotten", log_every_hours=12)
    assert [(one.goes_to, one.key) for one in matters("cooler_due")] == [("read_cooler", unread.pk)]
    read_room(unread, at=now(), by=None, air_c=9.0)
    assert matters("cooler_due") == [] and [one.about["air_c"] for one in matters("cooler_out")] == [9.0]
    wrong = CoolerReading.objects.latest("pk")
    read_room(unread, at=now(), by=None, air_c=2.0, corrects=wrong, note="misread")
    assert matters("cooler_out") == []


def test_a_plan_is_wanted_and_one_that_ended_is_wanted_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    hung("B50", days_ago=4)
    assert [one.what for one in matters() if one.what.startswith("plan")] == ["plan_missing"]
    plan = accepted(cut_after(3))
    assert [one.what for one in matters() if one.what.startswith("plan")] == []
    hung("B51", days_ago=1)
    assert [one.about["sides"] for one in matters("plan_without")] == ["B51-left"]
    Plan.objects.filter(pk=plan.pk).update(start_on=today() - timedelta(days=20))
    assert len(matters("plan_over")) == 1


def test_a_side_to_be_cut_today_and_one_that_was_missed() -> None:
    side = hung("B52", days_ago=7)
    plan = accepted(cut_after(0))
    assert [one.about["side"] for one in matters("cut_today")] == ["B52-left"]
    plan.sides.update(day=today() - timedelta(days=2))
    assert [one.about["side"] for one in matters("cut_missed")] == ["B52-left"]
    page = today_page(at=now())
    assert [(one.side, one.cut_on, one.planned_kg) for one in page.against] == [("B52-left", None, 145.0)]
    side.state = SideState.CUT
    side.save()
    Cutting.objects.create(side=side, begun_at=now(), begun_kg=Decimal("143.5"), ended_at=now())
    page = today_page(at=now())
    assert not [one for one in page.matters if one.what.startswith("cut_")]
    assert [(one.cut_on, one.begun_kg) for one in page.against] == [(today(), 143.5)]


def test_a_block_left_open_from_yesterday() -> None:
    side = hung("B53", days_ago=7)
    Side.objects.filter(pk=side.pk).update(state=SideState.ON_BLOCK)
    cutting = Cutting.objects.create(side=side, begun_at=now(), begun_kg=Decimal("143.5"))
    assert [one.urgency for one in matters("block_open")] == ["watch"]
    Cutting.objects.filter(pk=cutting.pk).update(begun_at=now() - timedelta(days=1))
    assert [(one.urgency, one.key) for one in matters("block_open")] == [("now", cutting.pk)]


def order(days: int, *, must: bool = True) -> Order:
    return Order.objects.create(
        code=f"T{days}{must}", slug="brisket-whole", group="bison", kinds=["bison"], must=must,
        weight_kg=Decimal("5"), by_day=today() + timedelta(days=days), price_cents_per_kg=2000,
    )  # fmt: skip


def test_promises_past_and_not_covered() -> None:
    hung("B54", days_ago=6)
    past, near = order(-1), order(3)
    order(30), order(2, must=False)
    assert [one.key for one in matters("order_past")] == [past.pk]
    assert [one.key for one in matters("order_at_risk")] == [near.pk]
    codes = list(
        Order.objects.filter(
            state="open", by_day__gte=today(), by_day__lte=today() + timedelta(days=13)
        ).order_by("pk")
    )
    number = [one.pk for one in codes].index(near.pk)
    accepted(cut_after(1, filled=(Filled(number, 5.0, 100),)))
    assert matters("order_at_risk") == []


def packed(slug: str, *, days_ago: int, use_by_days: int | None = None) -> Pack:
    lot = Lot.objects.create(
        code=f"L{slug}{days_ago}", made_on=today(), kind="bison", species="bison", inspected="federal"
    )
    use_by = None if use_by_days is None else today() + timedelta(days=use_by_days)
    at = now() - timedelta(days=days_ago)
    return packs.pack(lot, slug, net_kg=Decimal("4"), key=uuid4(), at=at, by=None, use_by=use_by)


def test_old_trim_and_packs_past_their_date_until_something_is_done_with_them() -> None:
    trim, fresh = packed("trim-90", days_ago=3), packed("trim-80", days_ago=1)
    assert [(one.about["count"], one.about["weight_kg"]) for one in matters("trim_old")] == [
        (1, Decimal("4"))
    ]
    packs.happened(trim, "eaten", key=uuid4(), at=now(), by=None)
    assert matters("trim_old") == [] and fresh.pk
    past = packed("ribeye-steak", days_ago=8, use_by_days=-1)
    assert [one.about["count"] for one in matters("packs_past")] == [1]
    packs.happened(past, "spoiled", key=uuid4(), at=now(), by=None)
    assert matters("packs_past") == []


def test_the_most_pressing_comes_first_and_every_matter_has_a_page_and_a_sentence(
    owner_client: Client,
) -> None:
    hung("B55", days_ago=14)
    hung("B56", days_ago=9)
    order(-2)
    order(2)
    packed("trim-90", days_ago=3)
    found = today_page(at=now()).matters
    urgencies = [one.urgency for one in found]
    assert urgencies == sorted(urgencies, key=["now", "soon", "watch"].index)
    text = owner_client.get(reverse("today")).content.decode()
    for one in found:
        assert matter_address(one) in text
        assert matter_address(one) != reverse("today"), one
    assert "B55-left hangs 4 days past its latest" in text


def test_spanish(owner_client: Client) -> None:
    Person.objects.filter(role="owner").update(language="es")
    hung("B57", days_ago=14)
    text = owner_client.get(reverse("today")).content.decode()
    assert "B57-left cuelga 4 días de más" in text


def test_the_number_of_questions_does_not_grow() -> None:
    hung("N", days_ago=3)
    order(20)
    with CaptureQueriesContext(connection) as few:
        today_page(at=now())
    for number in range(10):
        hung(f"N{number}", days_ago=number)
        order(number - 3)
    with CaptureQueriesContext(connection) as many:
        today_page(at=now())
    assert len(many) <= len(few) + 1 <= 15, (len(many), len(few))
