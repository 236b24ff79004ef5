"""What is settled for one side is not settled for its fellow: from the form to the plan that is solved."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.plan.week import Pin
from gambrel.shop.clock import today
from gambrel.shop.records.models import Order, PinnedSide, PlannedSide, PlanState, Side, SideState
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.week import pin_of, settled_apart, week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def half(name: str, tag: str = "C1") -> Side:
    return Side.objects.select_related("animal", "pin").get(animal__tag=tag, half=name)


def days_ahead(days: int) -> date:
    return today() + timedelta(days=days)


def test_alone_settles_one_side_and_leaves_the_other() -> None:
    service.pin(half("left"), day=days_ahead(2), ways={}, by=None, alone=True)
    assert [(pin.side.half, pin.day) for pin in PinnedSide.objects.filter(side__animal__tag="C1")] == [
        ("left", days_ahead(2))
    ]
    service.pin(half("right"), day=None, ways={"rib-primal": "boneless"}, by=None, alone=True)
    assert pin_of(half("left")) == Pin(days_ahead(2), {})
    assert pin_of(half("right")) == Pin(None, {"rib-primal": "boneless"})
    service.pin(half("left"), day=None, ways={}, by=None, alone=True)
    assert [pin.side.half for pin in PinnedSide.objects.filter(side__animal__tag="C1")] == ["right"]


def test_sides_settled_alike_stay_together(demo_shop: Any) -> None:
    service.pin(half("left"), day=days_ahead(2), ways={"rib-primal": "boneless"}, by=None)
    assert settled_apart() == {}
    week = week_of(demo_shop.profile, start=today(), days=7)
    pin = next(one.pin for one in week.animals if one.id == "C1")
    assert pin == Pin(days_ahead(2), {"rib-primal": "boneless"})


def test_sides_settled_differently_are_named_apart(demo_shop: Any) -> None:
    service.pin(half("left"), day=days_ahead(2), ways={}, by=None, alone=True)
    assert settled_apart() == {"C1-left": Pin(days_ahead(2), {}), "C1-right": Pin()}
    week = week_of(demo_shop.profile, start=today(), days=7)
    assert next(one.pin for one in week.animals if one.id == "C1") == Pin(), "no pin for the whole animal"


def test_what_was_chosen_for_a_side_stays_with_it() -> None:
    """Chosen on the forecast page piece by piece; what is settled for the plan goes before it."""
    side = half("left")
    side.ways = {"rib-primal": "bone-in", "short-plate": "short-ribs"}
    side.save()
    service.pin(side, day=None, ways={"rib-primal": "boneless"}, by=None, alone=True)
    assert dict(pin_of(half("left")).ways) == {"rib-primal": "boneless", "short-plate": "short-ribs"}
    assert dict(pin_of(half("right")).ways) == {}


def test_the_form_settles_one_side_or_both(owner_client: Client) -> None:
    side = half("left")
    data = {"day": str(days_ahead(3)), "why": "the smoker is free"}
    assert (
        owner_client.post(reverse("settle_side", args=[side.pk]), {**data, "alone": "on"}).status_code == 302
    )
    assert PinnedSide.objects.filter(side__animal=side.animal).count() == 1
    assert owner_client.post(reverse("settle_side", args=[side.pk]), data).status_code == 302
    assert PinnedSide.objects.filter(side__animal=side.animal, day=days_ahead(3)).count() == 2


def test_each_side_is_planned_on_its_own_day(demo_shop: Any) -> None:
    """Monday for the left, two days later for the right, by the real planner; and by their own names."""
    Side.objects.exclude(animal__tag="C1").update(state=SideState.GONE)
    Order.objects.all().delete()
    service.pin(half("left"), day=today(), ways={}, by=None, alone=True)
    service.pin(half("right"), day=days_ahead(2), ways={}, by=None, alone=True)
    plan = service.ask(demo_shop.profile, start=today(), days=5, seconds=20, by=None)
    assert service.solve(plan.pk).state == PlanState.DONE
    planned = {row.side.half: row.day for row in PlannedSide.objects.filter(plan=plan).select_related("side")}
    assert planned == {"left": today(), "right": days_ahead(2)}
