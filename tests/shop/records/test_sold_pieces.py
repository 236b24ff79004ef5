"""What the counter may be asked for, and what a plan can be asked for."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.catalog.cuts import shipped_cuts
from gambrel.measures import CannotDo
from gambrel.plan.look import look_at_week
from gambrel.shop.records.models import Demand, Order
from gambrel.shop.records.services.orders import take_order
from gambrel.shop.records.services.prices import save_demand
from gambrel.shop.records.sold_pieces import ground_pieces, off_the_side
from gambrel.shop.records.week import week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def product(slug: str, *, lean_pct: float | None = None) -> dict[str, Any]:
    return {
        "slug": slug,
        "steps": [(10.0, 1500.0)],
        "shelf_days": 3,
        "salvage_cents_per_kg": 0.0,
        "lean_pct": lean_pct,
    }


def order(slug: str, by_day: date) -> Order:
    return take_order(customer="The Juniper Table", contact="", slug=slug, kinds=["grain-finished"],
                      weight_kg=Decimal(4), by_day=by_day, price_cents_per_kg=900.0, must=True, shelf_days=5,
                      out_of_state=False, by=None)  # fmt: skip


@pytest.mark.parametrize(
    ("slug", "lean_pct", "near"),
    [
        ("antlers", None, ""),
        ("ribeye-steek", None, "ribeye-steak"),
        ("liver", None, ""),
        ("ground-beef-80", None, ""),
        ("ribeye-steak", 80.0, ""),
        ("ground-bisson", 80.0, "ground-bison"),
    ],
)
def test_a_product_that_no_way_gives_and_no_grinder_makes_is_refused(
    slug: str, lean_pct: float | None, near: str
) -> None:
    before = Demand.objects.count()
    with pytest.raises(CannotDo) as told:
        save_demand(product(slug, lean_pct=lean_pct), kinds=["wagyu"], by=None)
    (found,) = told.value.findings
    assert found.given == slug and (f"Did you mean {near}?" == found.do if near else found.do)
    assert Demand.objects.count() == before


@pytest.mark.parametrize(
    ("slug", "lean_pct"), [("heel", None), ("hindquarter", None), ("ground-chuck", 80.0)]
)
def test_a_piece_a_quarter_and_what_is_ground_are_taken(slug: str, lean_pct: float | None) -> None:
    Demand.objects.filter(slug=slug).delete()
    assert save_demand(product(slug, lean_pct=lean_pct), kinds=["wagyu"], by=None).slug == slug


def test_an_order_of_no_piece_is_refused(demo_shop: Any) -> None:
    with pytest.raises(CannotDo) as told:
        order("brisket-hole", demo_shop.today + timedelta(3))
    assert told.value.findings[0].do == "Did you mean brisket-whole?"
    assert not Order.objects.filter(slug="brisket-hole").exists()


def test_a_liver_may_be_promised_and_does_not_stop_the_plan(demo_shop: Any) -> None:
    """It hangs on no rail: the week leaves it to the counter, and keeps the brisket."""
    liver, brisket = (order(slug, demo_shop.today + timedelta(3)) for slug in ("liver", "brisket-whole"))
    week = week_of(demo_shop.profile, start=demo_shop.today, days=7)
    codes = {one.id for one in week.orders}
    assert brisket.code in codes and liver.code not in codes
    assert [finding for finding in _looked_at(week) if "cut" in finding.where] == []


def _looked_at(week: Any) -> list[Any]:
    from gambrel.catalog.ways import shipped_tree
    from gambrel.measures import Findings

    findings = Findings()
    look_at_week(week, shipped_tree(), findings)
    return list(findings)


def test_only_what_can_be_planned_with_is_offered(owner_client: Client) -> None:
    form = owner_client.get(reverse("new_price_step")).context["form"]
    offered = {slug for slug, _ in form.fields["slug"].choices}
    assert offered <= off_the_side() | ground_pieces()
    assert {"ribeye-steak", "hindquarter", "ground-bison"} <= offered
    assert not {"liver", "spencer-roll"} & offered


def test_ground_pieces_are_of_the_catalogue_and_off_no_side() -> None:
    assert ground_pieces() <= shipped_cuts().keys() and not ground_pieces() & off_the_side()
    assert {"ground-beef-80", "ground-bison", "hamburger"} <= ground_pieces()
