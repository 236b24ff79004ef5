"""The invented shop holds together: what was cut adds up, what was sold was packed, and the days are in order."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db.models import Sum

from gambrel.files.demo_photographs import demo_index
from gambrel.shop import demo_history
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Cutting,
    FaceAccepted,
    Lot,
    Pack,
    PackEvent,
    PlannedSide,
    Side,
    SideState,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.selectors.plan import accepted_plan

pytestmark = pytest.mark.django_db


@pytest.fixture
def cuttings(demo_shop: Any) -> list[Cutting]:
    return demo_history.cut_and_sell(demo_shop.today)


def test_what_came_off_a_side_is_what_went_on_the_block(cuttings: list[Cutting]) -> None:
    assert len(cuttings) == 4
    for cutting in cuttings:
        weighed_kg = float(cutting.weights.aggregate(kg=Sum("weight_kg"))["kg"])
        assert 0.99 < weighed_kg / float(cutting.begun_kg) < 1.0
        assert cutting.begun_kg < cutting.side.hot_kg and cutting.ended_at is not None
        assert Side.objects.get(pk=cutting.side_id).state == SideState.CUT


def test_no_more_is_packed_than_was_weighed_and_no_more_sold_than_packed(cuttings: list[Cutting]) -> None:
    for cutting in cuttings:
        lot = Lot.objects.get(cutting=cutting)
        packed = dict(Pack.objects.filter(lot=lot).values_list("slug").annotate(Sum("net_kg")))
        weighed = dict(cutting.weights.values_list("slug").annotate(Sum("weight_kg")))
        assert packed
        assert all(float(kg) <= float(weighed[slug]) + 0.001 * 50 for slug, kg in packed.items())
    events = PackEvent.objects.select_related("pack")
    assert 0 < events.count() < Pack.objects.count()
    for event in events:
        assert event.cents == (
            round(float(event.pack.net_kg) * event.pack.price_cents_per_kg) if event.what == "sold" else 0
        )
        assert event.pack.at < event.at < now()


def test_days_are_in_order_and_none_is_to_come(cuttings: list[Cutting]) -> None:
    for cutting in cuttings:
        killed_on = cutting.side.animal.killed_on
        assert killed_on < cutting.begun_at.date() < today()
        assert [line.at for line in cutting.weights.order_by("pk")] == sorted(
            line.at for line in cutting.weights.all()
        )
    assert AuditLine.objects.filter(at__gt=now()).count() == 0
    assert Weighing.objects.filter(at__gt=now()).count() == 0


def test_an_animal_has_its_bill_and_both_sides(cuttings: list[Cutting]) -> None:
    for tag in ("C0", "B0"):
        animal = Animal.objects.get(tag=tag)
        assert animal.bill.paid_cents > 100_000 and animal.sides.count() == 2


def test_photographs_are_read_near_their_truth(demo_shop: Any) -> None:
    readings = demo_history.read_faces(2)
    truth = {one["file"].removesuffix(".jpg"): one for one in demo_index()["photographs"]}
    assert len(readings) == 2 and not any(reading.refused for reading in readings)
    for reading in readings:
        one = truth[f"{reading.side.animal.tag}-{reading.side.half}"]
        assert reading.ribeye_cm2 == pytest.approx(one["ribeye_cm2"], rel=0.05)
        assert reading.fat_mm == pytest.approx(one["fat_mm"], abs=2.0)
        assert FaceAccepted.objects.filter(side=reading.side, reading=reading).exists()


def test_a_plan_is_made_and_accepted(demo_shop: Any) -> None:
    made = demo_history.plan_ahead(demo_shop.today, days=3, seconds=60.0)
    assert accepted_plan() == made and made.accepted_by == demo_shop.person("owner")
    assert (
        PlannedSide.objects.filter(plan=made).count() == Side.objects.filter(state=SideState.HANGING).count()
    )


def test_the_clock_stands_for_a_while_and_goes_back() -> None:
    before = now()
    with standing_at(before - timedelta(days=3)):
        assert now() == before - timedelta(days=3)
    assert now() == before
