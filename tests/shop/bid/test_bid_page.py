"""The bid page against the core's own bid, and what an offer means on it."""

from __future__ import annotations

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures.money import cents_per_kg
from gambrel.shop.clock import today
from gambrel.shop.records.models import Order, Person, Plan, ShopProfile, Side, SideState
from gambrel.shop.records.selectors.bid import bid_page
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.fixture
def accepted() -> Plan:
    """A real plan of two animals, small enough to be solved in a test."""
    Side.objects.exclude(animal__tag__in=["B1", "C1"]).update(state=SideState.GONE)
    Order.objects.all().delete()
    owner = Person.objects.get(role="owner")
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=20, by=owner)
    return service.accept(service.solve(asked.pk), by=owner)


def test_without_a_plan_there_is_no_bid(owner_client: Client) -> None:
    assert "there is none yet" in owner_client.get(reverse("bid")).content.decode()


@pytest.mark.usefixtures("accepted")
def test_the_curve_falls_and_live_pays_less_than_the_rail() -> None:
    page = bid_page(kind="bison", offer_cents_per_kg=None, on="rail")
    rail = [line.rail_cents_per_kg for line in page.lines]
    assert page.kind == "bison" and len(rail) == 9
    assert all(np.diff(rail) < 0), "the surer, the less"
    assert all(
        line.live_cents_per_kg < line.rail_cents_per_kg for line in page.lines if line.rail_cents_per_kg > 0
    )


@pytest.mark.usefixtures("accepted")
def test_an_offer_at_the_bid_misses_the_margin_as_often_as_the_bid_says() -> None:
    """The price at 80 chances in 100 is missed by 20 of 100 animals: the definition, not our arithmetic."""
    page = bid_page(kind="grain-finished", offer_cents_per_kg=None, on="rail")
    at_80 = next(line.rail_cents_per_kg for line in page.lines if line.chance_share == 0.8)
    offered = bid_page(kind="grain-finished", offer_cents_per_kg=at_80, on="rail")
    assert offered.missing_share == pytest.approx(0.20, abs=0.001)
    assert offered.losing_share is not None and offered.losing_share < 0.20


@pytest.mark.usefixtures("accepted")
def test_the_page_reads_a_price_with_its_unit(owner_client: Client) -> None:
    answer = owner_client.get(reverse("bid"), {"kind": "bison", "on": "rail", "offer": "$4.00/lb"})
    assert answer.status_code == 200
    assert answer.context["page"].offer_cents_per_kg == pytest.approx(cents_per_kg(400))
    assert "<svg" in answer.content.decode()


@pytest.mark.usefixtures("accepted")
@pytest.mark.parametrize("asked", [{"offer": "much"}, {"kind": "unicorn"}, {"on": "hoof"}], ids=str)
def test_nonsense_is_told_and_the_curve_stays(owner_client: Client, asked: dict[str, str]) -> None:
    answer = owner_client.get(reverse("bid"), asked)
    assert answer.status_code == 400
    assert len(answer.context["form"].errors) == 1
    assert answer.context["page"].lines


def test_only_the_owner_sees_it(
    cutter_client: Client, counter_client: Client, visitor_client: Client
) -> None:
    assert cutter_client.get(reverse("bid")).status_code == 403
    assert counter_client.get(reverse("bid")).status_code == 403
    assert visitor_client.get(reverse("bid")).status_code == 302


def test_a_shop_that_has_cut_nothing_asks_for_no_supplier(accepted: Plan, owner_client: Client) -> None:
    answer = owner_client.get(reverse("bid"), {"kind": "bison", "on": "rail"})
    assert "supplier" not in answer.context["form"].fields and answer.context["page"].suppliers == ()
