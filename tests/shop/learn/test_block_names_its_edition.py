"""The block says by which yields it expects: those that the side went to the block with, whatever is learned since."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.clock import now, standing_at
from gambrel.shop.records.models import Cutting, Person, Side, SideForecast, SideState
from gambrel.shop.records.selectors.block import cutting_page
from gambrel.shop.records.selectors.block_expected import hanging_animal, ways_for
from gambrel.shop.records.services import block
from gambrel.shop.records.shop_yields import taught

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]


def begun(shop: Any) -> Cutting:
    """The newest side of the kind, on the block and not weighed yet."""
    rows = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished", animal__owner_name="")
    side = rows.select_related("animal").order_by("-pk")[0]
    ways, _, _ = ways_for(side, hanging_animal(side), shop)
    off_rail = Decimal(f"{float(side.hot_kg) * 0.97:.1f}")
    with standing_at(now() - timedelta(hours=1)):
        return block.begin(side, weight_kg=off_rail, typed=f"{off_rail} kg", ways=ways, by=None, key=uuid4())


def test_the_block_names_the_edition_that_its_side_went_there_with(
    demo_shop: Any, cut_side: Cut, cutter_client: Client
) -> None:
    Person.objects.update(language="en")
    cut_side()
    before = taught(demo_shop.profile)
    cutting = begun(demo_shop.profile)
    cut_side()
    assert taught(demo_shop.profile).edition != before.edition
    assert SideForecast.objects.get(side=cutting.side).edition == before.edition
    assert cutting_page(cutting, demo_shop.profile).known == before
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert f"put right by 1 side cut here (edition {before.edition})" in text
    assert taught(demo_shop.profile).edition not in text


def test_a_first_side_is_expected_by_the_book_and_the_cutter_reads_so_in_spanish(
    demo_shop: Any, cutter_client: Client
) -> None:
    cutting = begun(demo_shop.profile)
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert "Rendimientos: " in text and "Yields: " not in text
    assert cutting_page(cutting, demo_shop.profile).known.edition == "book"
