"""The learn pages of a shop that has cut nothing yet, and the season as it is made: the same every time, and whole."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from gambrel.shop.demo_season import cut_a_season
from gambrel.shop.records.models import Lesson, PackEvent, ScaleWeight, SideForecast
from gambrel.shop.records.selectors.learn_yields import yields_page
from gambrel.shop.records.shop_yields import BOOK

pytestmark = pytest.mark.django_db
PAGES = ("truth", "scores", "coolers_learned", "rib_face_value")


@pytest.mark.parametrize("name", PAGES)
def test_before_anything_was_cut_every_page_says_so(demo_shop: Any, owner_client: Client, name: str) -> None:
    answer = owner_client.get(reverse(name))
    assert answer.status_code == 200 and 'class="empty"' in answer.content.decode()


def test_the_season_is_the_same_every_time_and_closes_at_the_counter(demo_shop: Any) -> None:
    """Made twice from its seed, weight by weight; no more is sold of a side than was weighed of it."""
    seen = []
    for _ in range(2):
        with transaction.atomic():
            season = cut_a_season(demo_shop.today)
            lines = ScaleWeight.objects.filter(cutting__in=season).order_by("pk")
            seen.append(list(lines.values_list("slug", "typed", "at", "key")))
            for cutting in season[:2]:
                sold = PackEvent.objects.filter(pack__lot__cutting=cutting, what="sold")
                sold_kg = sum(float(one.pack.net_kg) for one in sold.select_related("pack"))
                assert 0.5 * float(cutting.begun_kg) < sold_kg < float(cutting.begun_kg)
                assert min(one.at for one in sold) > cutting.begun_at
            editions = SideForecast.objects.order_by("pk").values_list("edition", flat=True)
            assert editions[0] == BOOK and len(set(editions)) == len(season)
            assert Lesson.objects.values("cutting").distinct().count() == len(season)
            transaction.set_rollback(True)
    assert seen[0] == seen[1] and len(seen[0]) > 1000


def test_without_a_side_that_balances_it_is_the_book(demo_shop: Any) -> None:
    page = yields_page(demo_shop.profile, "wagyu")
    assert (page.edition, page.sides_count, {line.moved_share for line in page.lines}) == ("book", 0, {0.0})
    assert all(line.own is None for line in page.lines)
