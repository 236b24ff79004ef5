"""Sums of the books, packs over the counter, days on the rail, and ways chosen for a side, at their edges."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.loss import days_hung
from gambrel.shop.records.models import AuditLine, Lot, Pack, PackEvent, Person, ShopProfile, Side, SideState
from gambrel.shop.records.selectors.books import Account, books_page, together, usual_period
from gambrel.shop.records.selectors.forecast_ways import side_on_rail
from gambrel.shop.records.services.forecast import keep_choice, leave_to_plan
from gambrel.shop.records.services.packs import happened, pack
from gambrel.shop.records.week import shop_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

ONE = Account(name="B1", head=1, kind="bison", supplier="North pasture", hot_kg=300.0, cost_cents=200_000,
              packed_kg=180.0, sold_kg=100.0, sold_cents=250_000, shelf_kg=80.0, shelf_cents=160_000)  # fmt: skip


def owner() -> Person:
    return Person.objects.get(role="owner")


# The books -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cost", "sold", "earned", "share"),
    [
        (200_000, 250_000, 50_000, 0.2),
        (250_000, 250_000, 0, 0.0),
        (500_000, 250_000, -250_000, -1.0),
        (0, 250_000, 250_000, 1.0),
        (200_000, 0, -200_000, None),
        (200_000, -1, -200_001, None),
        (None, 250_000, None, None),
        (None, 0, None, None),
    ],
)
def test_earned_is_sold_less_cost(
    cost: int | None, sold: int, earned: int | None, share: float | None
) -> None:
    account = replace(ONE, cost_cents=cost, sold_cents=sold)
    assert (account.earned_cents, account.margin_share) == (earned, share)


def test_many_accounts_are_the_sum_of_each() -> None:
    other = replace(ONE, name="B2", hot_kg=250.0, cost_cents=150_000, sold_cents=100_000, sold_kg=40.0)
    both = together("bison", [ONE, other])
    assert (both.head, both.hot_kg, both.cost_cents) == (2, 550.0, 350_000)
    assert (both.sold_cents, both.sold_kg, both.shelf_cents) == (350_000, 140.0, 320_000)
    assert (both.earned_cents, both.margin_share) == (0, 0.0)


@pytest.mark.parametrize("costs", [(None, 1), (1, None), (None, None)])
def test_one_bill_missing_and_the_cost_of_all_is_unknown(costs: tuple[int | None, int | None]) -> None:
    account = together("", [replace(ONE, cost_cents=cost) for cost in costs])
    assert account.cost_cents is None and account.earned_cents is None


def test_no_animals_at_all_cost_and_bring_nothing() -> None:
    page = books_page(ShopProfile.objects.get(), first=date(1990, 1, 1), last=date(1990, 1, 31))
    assert (page.animals, page.kinds, page.suppliers) == ((), (), ())
    assert (page.total.head, page.total.cost_cents, page.total.margin_share) == (0, 0, None)


@pytest.mark.parametrize(
    ("day", "first"),
    [(date(2026, 3, 31), date(2026, 3, 1)), (date(2026, 3, 1), date(2026, 1, 30)),
     (date(2024, 3, 1), date(2024, 1, 31)), (date(2026, 1, 1), date(2025, 12, 2))],
)  # fmt: skip
def test_the_usual_period_is_31_days_with_both_ends(day: date, first: date) -> None:
    """Counted on a calendar; 2024 has a 29 February."""
    assert usual_period(day) == (first, day)


# Packs -----------------------------------------------------------------------------------------------------


@pytest.fixture
def packed() -> Pack:
    lot = Lot.objects.create(
        code="26068-7", made_on=today(), kind="bison", species="bison", inspected="federal"
    )
    return pack(lot, "ribeye-roll-steak", net_kg=Decimal("0.412"), key=uuid4(), at=now(), by=owner())


@pytest.mark.parametrize(
    ("before", "what", "holds"),
    [
        ([], "sold", True),
        ([], "spoiled", True),
        ([], "eaten", True),
        ([], "returned", False),
        (["sold"], "sold", False),
        (["sold"], "spoiled", False),
        (["sold"], "returned", True),
        (["spoiled"], "sold", False),
        (["sold", "returned"], "sold", True),
        (["sold", "returned"], "spoiled", True),
        (["sold", "returned"], "returned", False),
        ([], "SOLD", False),
        ([], "", False),
        ([], "x" * 400, False),
        ([], "\x00", False),
    ],
)
def test_what_may_become_of_a_pack(packed: Pack, before: list[str], what: str, holds: bool) -> None:
    for minute, one in enumerate(before):
        happened(packed, one, key=uuid4(), at=now() + timedelta(minutes=minute), by=owner())
    lines = AuditLine.objects.count()
    if holds:
        line = happened(packed, what, key=uuid4(), at=now() + timedelta(hours=1), by=owner(), cents=899)
        assert (line.what, line.cents, AuditLine.objects.count()) == (what, 899, lines + 1)
        return
    with pytest.raises(CannotDo):
        happened(packed, what, key=uuid4(), at=now() + timedelta(hours=1), by=owner())
    assert (PackEvent.objects.filter(pack=packed).count(), AuditLine.objects.count()) == (len(before), lines)


# Days and the week -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("hours", "days"), [(0, 0.0), (-1, 0.0), (-1000, 0.0), (12, 0.5), (24, 1.0), (36, 1.5), (24 * 21, 21.0)]
)
def test_days_on_the_rail_are_counted_from_the_hot_scale(hours: int, days: float) -> None:
    hung_at = datetime(2026, 3, 2, 18, tzinfo=UTC)
    assert days_hung(Side(hung_at=hung_at), hung_at + timedelta(hours=hours)) == pytest.approx(days)


@pytest.mark.parametrize("days", [1, 7, 31])
def test_the_shop_s_last_day_is_one_of_its_days(days: int) -> None:
    shop = shop_of(ShopProfile.objects.get(), start=date(2026, 3, 9), days=days)
    assert (shop.end - shop.start).days == days - 1


# Ways chosen for a side ------------------------------------------------------------------------------------


@pytest.fixture
def side() -> Side:
    return Side.objects.select_related("animal").get(animal__tag="G1", half="right")


def choose(side: Side, style: str, ways: dict[str, str]) -> Side:
    shop = ShopProfile.objects.get()
    hanging = side_on_rail(side, shop, []).hanging
    return keep_choice(side, hanging, shop, style=style, ways=ways, by=owner(), why="asked for")


def test_a_choice_is_kept_and_left_to_the_plan_again(side: Side) -> None:
    choose(side, "boneless", {})
    side.refresh_from_db()
    assert (side.style, side.ways) == ("boneless", {})
    line = AuditLine.objects.latest("pk")
    assert (line.what, line.why, line.by) == ("ways chosen", "asked for", owner())
    leave_to_plan(side, by=owner(), why="not any more")
    side.refresh_from_db()
    line = AuditLine.objects.latest("pk")
    assert (side.style, side.ways, line.before) == ("", {}, {"style": "boneless", "ways": {}})


@pytest.mark.parametrize(
    ("style", "ways", "wrong"),
    [
        ("", {}, 1),
        ("BONELESS", {}, 1),
        ("no-such-style", {}, 1),
        ("boneless", {"no-such-piece": "whole"}, 1),
        ("no-such-style", {"no-such-piece": "whole", "another": ""}, 3),
    ],
)
def test_all_that_is_wrong_with_a_choice_is_told_at_once(
    side: Side, style: str, ways: dict[str, str], wrong: int
) -> None:
    lines = AuditLine.objects.count()
    with pytest.raises(CannotDo) as told:
        choose(side, style, ways)
    assert len(told.value.findings) == wrong
    side.refresh_from_db()
    assert (side.style, side.ways, AuditLine.objects.count()) == ("", {}, lines)


@pytest.mark.parametrize("state", [one for one in SideState if one != SideState.HANGING])
def test_a_side_that_hangs_no_more_is_chosen_for_on_the_block(side: Side, state: str) -> None:
    Side.objects.filter(pk=side.pk).update(state=state)
    with pytest.raises(CannotDo):
        choose(side, "boneless", {})
    with pytest.raises(CannotDo):
        leave_to_plan(side, by=owner())
