"""What owners take home and the kinds side by side go by what the shop has learned, and say which edition."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.urls import reverse

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.journey import forecast_on_rail, sides_on_rail
from gambrel.sell.take_home import OwnerWishes, take_home
from gambrel.shop.clock import today
from gambrel.shop.records.models import Animal, Cutting, Person, Plan, Share, Side, SideState
from gambrel.shop.records.selectors import shares as selector
from gambrel.shop.records.selectors.compare import DRAWS, compare_page
from gambrel.shop.records.selectors.plan import planned_by
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.shop_yields import taught, yields_of

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]
Agree = Callable[[], Share]
Accept = Callable[[], Plan]
KIND = "grain-finished"


def test_a_share_is_foretold_by_the_yields_of_its_kind_and_supplier(
    demo_shop: Any, cut_side: Cut, agree_share: Agree
) -> None:
    share, shop = agree_share(), demo_shop.profile
    by_book = selector.share_page(share, shop)
    assert by_book.figures.known.edition == "book"
    cut_side()
    learned = selector.share_page(share, shop)
    known = taught(shop)
    assert learned.figures.known == known
    asked = selector._asked(share, shop, selector._hanging(share.animal), known)
    core = yields_of(known).models(asked.animal, supplier=share.animal.supplier.name)
    assert asked.learned is not None and asked.learned.keys() == core.keys()
    for key, model in core.items():
        assert np.array_equal(model.mean_shares, asked.learned[key].mean_shares)
    home, tree = learned.figures.home, shipped_tree().trimmed(shop.trim)
    book = take_home(replace(asked, learned=None), OwnerWishes(), tree=tree, cuts=shipped_cuts())
    assert np.array_equal(home.hung_kg, book.hung_kg) and not np.array_equal(home.taken_kg, book.taken_kg)
    assert home.pieces() == take_home(asked, OwnerWishes(), tree=tree, cuts=shipped_cuts()).pieces()
    assert [one.taken_kg for one in learned.effects] != [one.taken_kg for one in by_book.effects]


def test_the_shares_page_and_its_customers_page_name_the_edition(
    demo_shop: Any, cut_side: Cut, owner_client: Client, visitor_client: Client, agree_share: Agree
) -> None:
    share = agree_share()
    service.open_link(share, by=None)
    share.refresh_from_db()
    pages = ((owner_client, reverse("share", args=[share.pk])),
             (visitor_client, reverse("share_for_customer", args=[share.token])))  # fmt: skip
    for client, address in pages:
        assert "the book alone" in client.get(address).content.decode()
    cut_side()
    said = f"put right by 1 side cut here (edition {taught(demo_shop.profile).edition})"
    for client, address in pages:
        assert said in client.get(address).content.decode()
    Person.objects.update(language="es")
    assert "Rendimientos: " in owner_client.get(pages[0][1]).content.decode()


def test_a_share_that_was_handed_over_is_a_bill_and_names_none(
    demo_shop: Any, cut_side: Cut, owner_client: Client, agree_share: Agree
) -> None:
    share = agree_share()
    cut_side()
    foretold = selector.figures_of(share, demo_shop.profile).taken_kg
    service.hand_over(share, taken_kg=100, ground_kg=20, on=today(), foretold_kg=foretold, by=None)
    text = owner_client.get(reverse("share", args=[share.pk])).content.decode()
    assert "The bill" in text and "(edition" not in text


def test_side_by_side_goes_by_the_plans_yields(
    demo_shop: Any, cut_side: Cut, owner_client: Client, accept_plan: Accept
) -> None:
    """What of the kind's sides is sold as cuts, from the core's own forecasts by each animal's supplier."""
    cut_side()
    keep = Animal.objects.filter(kind=KIND, owner_name="", sides__state=SideState.HANGING).distinct()[0]
    Side.objects.filter(state=SideState.HANGING).exclude(animal=keep).update(state=SideState.GONE)
    plan, known = accept_plan(), taught(demo_shop.profile)
    cut_kg, hung_kg = 0.0, 0.0
    week, result = planned_by(plan.key)
    tree, cuts = shipped_tree().trimmed(week.shop.trim), shipped_cuts()
    for number, side in enumerate(sides_on_rail(week, result)):
        forecast = forecast_on_rail(
            side, week, tree=tree, cuts=cuts, draws=DRAWS, seed=number,
            models=lambda animal, _="": yields_of(known).models(animal, supplier=keep.supplier.name),
        )  # fmt: skip
        hung_kg += float(np.mean(forecast.hung_kg))
        totals = forecast.totals()
        cut_kg += totals["saleable_kg"].mean - totals["ground_kg"].mean
    (line,) = compare_page(title="", with_prices=False).lines
    assert line.face.split.cuts_share == pytest.approx(cut_kg / hung_kg, rel=1e-9)
    assert compare_page(title="", with_prices=False).known == known
    assert f"(edition {known.edition})" in owner_client.get(reverse("compare")).content.decode()


def test_side_by_side_before_anything_was_cut_is_the_books(
    demo_shop: Any, owner_client: Client, accept_plan: Accept
) -> None:
    accept_plan()
    assert "the book alone" in owner_client.get(reverse("compare")).content.decode()
