"""Trim on hand after weeks and months: fresh trim that was forgotten is no meat any more, frozen trim keeps."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest

from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.records.models import ShopProfile
from gambrel.shop.records.selectors.grind import grind_page
from gambrel.shop.records.services import grind
from gambrel.shop.records.tubs import FRESH_KEPT_DAYS, LONGEST_KEPT_DAYS, Tub, tubs_on_hand

pytestmark = pytest.mark.django_db
Weigh = Callable[..., Tub]


def there(tub: Tub) -> bool:
    return tub.id in {one.id for one in tubs_on_hand(today())}


@pytest.mark.parametrize(
    ("days", "is_there"), [(0, True), (FRESH_KEPT_DAYS, True), (FRESH_KEPT_DAYS + 1, False)]
)
def test_fresh_trim_is_offered_for_some_weeks(weighed_trim: Weigh, days: int, is_there: bool) -> None:
    with standing_at(now() - timedelta(days=days)):
        tub = weighed_trim(kg="10")
    assert there(tub) == is_there


@pytest.mark.parametrize(("days", "is_there"), [(FRESH_KEPT_DAYS + 1, True), (LONGEST_KEPT_DAYS - 1, True),
                                                (LONGEST_KEPT_DAYS + 1, False)])  # fmt: skip
def test_frozen_trim_is_offered_for_a_year_and_more(weighed_trim: Weigh, days: int, is_there: bool) -> None:
    with standing_at(now() - timedelta(days=days)):
        tub = weighed_trim(kg="10")
        grind.tub_became(tub, "frozen", key=uuid4(), by=None)
    assert there(tub) == is_there


def test_thawed_after_months_it_is_still_there(weighed_trim: Weigh) -> None:
    with standing_at(now() - timedelta(days=90)):
        tub = weighed_trim(kg="10")
        grind.tub_became(tub, "frozen", key=uuid4(), by=None)
    frozen = next(one for one in tubs_on_hand(today()) if one.id == tub.id)
    assert frozen.is_frozen and frozen.left_kg == pytest.approx(10.0)
    grind.tub_became(frozen, "thawed", key=uuid4(), by=None)
    assert there(tub)


def test_the_page_asks_few_questions_and_lists_open_batches_before_the_newest_closed(
    weighed_trim: Weigh, cleaned: Any, django_assert_max_num_queries: Any
) -> None:
    made = []
    for minutes in (50, 40, 30):
        with standing_at(now() - timedelta(minutes=minutes)):
            batch = grind.begin("ground-beef", lean_pct=75.0, inspected="federal", owner_name="", asked=[],
                                key=uuid4(), by=None)  # fmt: skip
            tub = weighed_trim(kg="10")
            grind.weigh_in(batch, tub.id, weight_kg=10, typed="10 kg", key=uuid4(), by=None)  # type: ignore[arg-type]
            made.append(batch)
    grind.close(made[0], out_kg=made[0].inputs.get().weight_kg, by=None)
    shop = ShopProfile.objects.get()
    with django_assert_max_num_queries(12):  # the request itself asks three more
        page = grind_page(today(), shop)
    assert page.open == (made[1], made[2]) and page.done[0] == made[0]
    assert page.clean_up == cleaned
