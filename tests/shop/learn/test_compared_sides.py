"""Sides that a wet pan made too heavy to teach are compared all the same; those not weighed whole are not."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.breakdown.balance import group_of
from gambrel.catalog.cuts import shipped_cuts
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Cutting, FaceAccepted, FaceReading, Lesson, ScaleWeight
from gambrel.shop.records.selectors.learn_scores import scores_page
from gambrel.shop.records.selectors.learn_truth import truth_page
from gambrel.shop.records.services import block
from gambrel.shop.records.services import plan as plans
from gambrel.shop.records.sides_learned import sides_compared, sides_learned, state_now

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]


def names(sides: Any) -> set[int]:
    return {side.cutting_id for side in sides}


@pytest.mark.parametrize(
    ("wet", "teaches", "is_compared"),
    [(1.0, True, True), (1.02, False, True), (0.97, False, True), (1.06, False, False), (0.90, False, False)],
)
def test_what_teaches_and_what_is_compared(
    demo_shop: Any, cut_side: Cut, wet: float, *, teaches: bool, is_compared: bool
) -> None:
    """Common practice: 97.5 to 100.5 % teach yields; 95 to 103 % are fit to be compared."""
    cutting = cut_side(wet=wet)
    assert (Lesson.objects.get(cutting=cutting).test is not None) is teaches
    assert (cutting.pk in names(sides_learned(state_now()))) is teaches
    assert (cutting.pk in names(sides_compared(state_now()))) is is_compared


def test_a_wet_pan_does_not_change_the_share_of_meat(demo_shop: Any, cut_side: Cut) -> None:
    """Every line 2 % heavier: weights of meat and of all rise alike, so that the share by hand is the dry side's."""
    dry, wet = cut_side(), cut_side(wet=1.02)
    assert dry.side.animal_id == wet.side.animal_id
    (animal,) = scores_page(demo_shop.profile, by="animal", figure="meat_share").animals
    meat_kg, all_kg = 0.0, 0.0
    for line in ScaleWeight.objects.standing().filter(cutting__in=[dry, wet]):
        all_kg += float(line.weight_kg)
        meat_kg += float(line.weight_kg) * (group_of(shipped_cuts()[line.slug]) in ("cuts", "trim"))
    assert animal.meat_share == pytest.approx(meat_kg / all_kg)
    of = {
        side.cutting_id: side.meat_kg / sum(side.weighed_kg.values()) for side in sides_compared(state_now())
    }
    assert of[wet.pk] == pytest.approx(of[dry.pk], abs=0.002)
    assert len(truth_page(demo_shop.profile, None).sides) == 1, "forecasts are judged by what teaches"


def test_its_readings_and_weights_are_those_that_stand(demo_shop: Any, cut_side: Cut) -> None:
    cutting = cut_side(wet=1.02)
    for half, fat_mm in zip(cutting.side.animal.sides.order_by("half"), (8.0, 12.0), strict=True):
        reading = FaceReading.objects.create(side=half, at=now(), how="read", fat_mm=fat_mm)
        FaceAccepted.objects.create(reading=reading, side=half, at=now())
    (side,) = sides_compared(state_now())
    assert side.face == {"fat_mm": 10.0, "ribeye_cm2": None, "marbling_score": None}
    more = Decimal(f"{0.03 * float(cutting.begun_kg):.2f}")
    block.weigh_piece(cutting, "trim-85", weight_kg=more, typed=f"{more} kg", key=uuid4(), by=None)
    assert sides_compared(state_now()) == (), "now more than 103 % was weighed"


def test_the_page_says_so_with_few_questions(
    demo_shop: Any, cut_side: Cut, owner_client: Client, queries: list[dict[str, str]]
) -> None:
    assert "weighed whole" in owner_client.get(reverse("scores")).content.decode()
    for wet in (1.0, 1.02, 1.02, 1.0):
        cut_side(wet=wet)
    owner_client.get(reverse("scores"))
    queries.clear()
    text = owner_client.get(reverse("scores"), {"by": "animal"}).content.decode()
    assert len(queries) <= 15, [one["sql"][:90] for one in queries]
    assert "95 to 103 % of what came off the rail" in text


def test_a_bid_for_every_kind_asks_for_the_plan_once(
    demo_shop: Any, season: list[Cutting], owner_client: Client, queries: list[dict[str, str]]
) -> None:
    """With an accepted plan the page bids for each kind that a supplier brought."""
    owner = demo_shop.person("owner")
    asked = plans.ask(demo_shop.profile, start=today(), days=14, seconds=20, by=owner)
    plans.accept(plans.solve(asked.pk), by=owner)
    owner_client.get(reverse("scores"))
    queries.clear()
    answer = owner_client.get(reverse("scores"))
    assert len({line.kind for line in answer.context["page"].bids}) >= 2
    assert sum("records_plan" in one["sql"] for one in queries) == 1 and len(queries) <= 15
