"""The bid for an animal of one supplier: by the yields that its sides have taught, and the page says so."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.journey import ways_of_kind
from gambrel.price.week_bid import bid_for_kind
from gambrel.shop.clock import today
from gambrel.shop.records.models import Cutting, Order, Person, Plan, Side, SideState
from gambrel.shop.records.selectors.bid import DRAWS, SEED, bid_page
from gambrel.shop.records.selectors.plan import known_to, planned_by, prices_of
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.shop_yields import yields_of

pytestmark = pytest.mark.django_db
KIND = "grain-finished"


@pytest.fixture
def accepted(demo_shop: Any, cut_side: Callable[..., Cutting]) -> tuple[Plan, str]:
    """A plan of one animal, asked for after two sides of its kind were cut; and the supplier of those."""
    first = cut_side(slip={"top-round": ["9.50"]})
    cut_side()
    Side.objects.filter(state=SideState.HANGING).exclude(animal__kind=KIND, animal__owner_name="").update(
        state=SideState.GONE
    )
    Order.objects.all().delete()
    owner = demo_shop.person("owner")
    asked = service.ask(demo_shop.profile, start=today(), days=14, seconds=20, by=owner)
    return service.accept(service.solve(asked.pk), by=owner), first.side.animal.supplier.name


def test_the_bid_is_the_cores_by_the_suppliers_models(accepted: tuple[Plan, str]) -> None:
    plan, supplier = accepted
    known = known_to(plan.key)
    week, result = planned_by(plan.key)
    core = bid_for_kind(
        week.kinds[KIND], prices_of(plan.key).kinds[KIND], week, result, ways=ways_of_kind(KIND, result),
        tree=shipped_tree().trimmed(week.shop.trim), cuts=shipped_cuts(), draws=DRAWS, seed=SEED,
        models=lambda animal, _="": yields_of(known).models(animal, supplier=supplier),
    )  # fmt: skip
    of = bid_page(kind=KIND, offer_cents_per_kg=None, on="rail", supplier=supplier)
    anybody = bid_page(kind=KIND, offer_cents_per_kg=None, on="rail")
    assert [tuple(row) for row in core.curve()] == [
        (line.chance_share, line.live_cents_per_kg, line.rail_cents_per_kg) for line in of.lines
    ]
    assert of.lines != anybody.lines and (of.supplier, anybody.supplier) == (supplier, "")


def test_who_has_taught_may_be_chosen_and_is_named(accepted: tuple[Plan, str], owner_client: Client) -> None:
    _, supplier = accepted
    answer = owner_client.get(reverse("bid"), {"kind": KIND, "on": "rail", "supplier": supplier})
    text = answer.content.decode()
    assert answer.context["page"].suppliers == (supplier,)
    assert (
        f"the sides that {supplier} brought" in text
        and f"edition {answer.context['page'].known.edition}" in text
    )
    assert "the sides that" not in owner_client.get(reverse("bid"), {"kind": KIND}).content.decode()
    Person.objects.update(language="es")
    spoken = owner_client.get(reverse("bid"), {"kind": KIND, "supplier": supplier})
    assert f"que trajo {supplier}" in spoken.content.decode()


def test_a_supplier_that_taught_nothing_is_none(accepted: tuple[Plan, str], owner_client: Client) -> None:
    answer = owner_client.get(reverse("bid"), {"kind": KIND, "supplier": "No such supplier"})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == ["supplier"]
    assert answer.context["page"].lines
