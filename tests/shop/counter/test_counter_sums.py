"""Takings added up a second way: from the tickets, from the till's file and from sales at random; a day has its own
hours."""

from __future__ import annotations

import csv
import io
import random
from datetime import UTC, date, datetime
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from packing import a_lot, a_pack

from gambrel.measures import CannotDo
from gambrel.shop.clock import today
from gambrel.shop.records.models import Customer, Pack, PackEvent, ShopProfile
from gambrel.shop.records.pack_money import asked_cents
from gambrel.shop.records.selectors import counter as selector
from gambrel.shop.records.selectors.counter import day_bounds, day_page, ticket_page, till_table
from gambrel.shop.records.services.counter import MOST_CENTS, sell, take_back
from gambrel.shop.records.services.labels import number_items
from gambrel.shop.records.services.packs import happened

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

LB = 0.45359237


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


def priced(kg: str = "1.452", **more: Any) -> Pack:
    """3.20 lb at $12.49 a pound: 39.968, so $39.97."""
    return a_pack(kg, price_cents_per_kg=1249 / LB, **more)


def sold(made: Pack, *, ticket: UUID | None = None, **more: Any) -> PackEvent:
    return sell(made, shop(), key=uuid4(), ticket=ticket or uuid4(), by=None, **more)


def brought(made: Pack, *, ticket: UUID | None = None, again: bool = False) -> PackEvent:
    return take_back(made, key=uuid4(), ticket=ticket or uuid4(), by=None, why="wrong cut", sell_again=again)


def till_rows(client: Client) -> list[dict[str, str]]:
    answer = client.get(reverse("counter_till"))
    return list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))


@pytest.mark.parametrize("seed", range(3))
def test_day_tickets_and_till_come_to_the_same_as_a_purse_kept_by_hand(
    counter_client: Client, seed: int
) -> None:
    chance = random.Random(seed)
    purse, in_hand, kept = 0, {}, {}
    tickets = [uuid4() for _ in range(4)]
    packs = [priced(f"{chance.randint(200, 2500) / 1000:.3f}") for _ in range(8)]
    for _ in range(30):
        made, ticket = chance.choice(packs), chance.choice(tickets)
        if made.pk in in_hand:
            cents = in_hand.pop(made.pk)
            brought(made, ticket=ticket, again=True)
            purse, kept[ticket] = purse - cents, kept.get(ticket, 0) - cents
        else:
            agreed = chance.choice((None, None, chance.randint(0, 5000)))
            line = sold(made, ticket=ticket, cents=agreed, why="" if agreed is None else "agreed")
            in_hand[made.pk] = asked_cents(made, shop()) if agreed is None else agreed
            assert line.cents == in_hand[made.pk]
            purse, kept[ticket] = purse + line.cents, kept.get(ticket, 0) + line.cents
    page = day_page(today())
    assert page.taken_cents == purse == sum(in_hand.values())
    assert {ticket: ticket_page(ticket).total_cents for ticket in kept} == kept
    rows = till_rows(counter_client)
    assert round(100 * sum(float(row["paid [$]"]) for row in rows)) == purse
    assert sum(one.count for one in page.products) == len(in_hand)
    weight_kg = sum(float(made.net_kg) for made in packs if made.pk in in_hand)
    assert sum(one.weight_kg for one in page.products) == pytest.approx(weight_kg, abs=1e-6)


def test_what_was_given_less_is_of_every_line_not_only_of_those_that_are_shown(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Five packs of $39.97 for $30.00 each: 5 x $9.97 = $49.85, with two lines on the page."""
    monkeypatch.setattr(selector, "MOST_SHOWN", 2)
    for _ in range(5):
        sold(priced(), cents=3000, why="regular")
    page = day_page(today())
    assert len(page.overrides) == 2
    assert page.given_less_cents == 4985


def test_more_than_the_label_asks_is_less_than_nothing_given() -> None:
    sold(priced(), cents=5000, why="weighed short by hand")
    assert day_page(today()).given_less_cents == 3997 - 5000


@pytest.mark.parametrize(
    ("cents", "goes"), [(-1, False), (0, True), (1, True), (MOST_CENTS, True), (MOST_CENTS + 1, False)]
)
def test_a_sum_is_from_nothing_to_the_most(cents: int, goes: bool) -> None:
    made = priced()
    if goes:
        assert sold(made, cents=cents, why="agreed").cents == cents
    else:
        with pytest.raises(CannotDo, match="from nothing up"):
            sold(made, cents=cents, why="agreed")
    assert PackEvent.objects.filter(what="sold").count() == int(goes)


def test_everything_that_is_wrong_with_a_sale_is_told_at_once() -> None:
    """Past its date and another sum without a reason: two findings."""
    with pytest.raises(CannotDo) as told:
        sold(priced(keeps_days=-1), cents=3000)
    assert [one.wanted for one in told.value.findings] == ["a reason", "a pack within its date"]


@pytest.mark.parametrize(("keeps_days", "goes"), [(-1, False), (0, True), (1, True), (None, True)])
def test_the_last_day_is_still_a_day(keeps_days: int | None, goes: bool) -> None:
    made = priced(keeps_days=keeps_days)
    if goes:
        assert sold(made).cents == 3997
    else:
        with pytest.raises(CannotDo, match="within its date"):
            sold(made)


def test_brought_back_twice_gives_its_money_back_once() -> None:
    made, key = priced(), uuid4()
    sold(made)
    for _ in range(2):
        take_back(made, key=key, ticket=uuid4(), by=None, why="wrong cut", sell_again=False)
    with pytest.raises(CannotDo, match="not sold"):
        brought(made)
    assert day_page(today()).taken_cents == 0
    assert PackEvent.objects.filter(what="spoiled").count() == 1


def test_the_money_that_goes_back_is_that_of_the_last_sale() -> None:
    made = priced()
    sold(made, cents=1000, why="first")
    brought(made, again=True)
    sold(made, cents=2500, why="second")
    assert brought(made).cents == 2500
    assert day_page(today()).taken_cents == 0


def test_what_comes_back_names_who_took_it() -> None:
    made, table = priced(), Customer.objects.get(name="The Juniper Table")
    sold(made, customer=table)
    assert brought(made).customer == table


# The shop lies in the Mountain zone of the United States, where clocks go an hour ahead on the second Sunday of March
# and back on the first of November [15 U.S.C. 260a]: midnight is 7 h behind UTC in winter and 6 h in summer.
@pytest.mark.parametrize(
    ("on", "begins", "hours"),
    [(date(2026, 3, 7), datetime(2026, 3, 7, 7, tzinfo=UTC), 24),
     (date(2026, 3, 8), datetime(2026, 3, 8, 7, tzinfo=UTC), 23),
     (date(2026, 3, 9), datetime(2026, 3, 9, 6, tzinfo=UTC), 24),
     (date(2026, 11, 1), datetime(2026, 11, 1, 6, tzinfo=UTC), 25)],
)  # fmt: skip
def test_a_day_goes_from_midnight_to_midnight_where_the_shop_is(
    on: date, begins: datetime, hours: int
) -> None:
    with timezone.override(shop().zone):
        first, last = day_bounds(on)
    assert first == begins
    assert (last.astimezone(UTC) - first.astimezone(UTC)).total_seconds() == hours * 3600


def test_a_sale_belongs_to_one_day_alone() -> None:
    with timezone.override(shop().zone):
        begins, ends = day_bounds(today())
        for at in (begins, ends):
            happened(a_pack(), "sold", key=uuid4(), at=at, by=None, cents=100)
        days = [
            day_page(one.date()).sold_cents for one in (timezone.localtime(begins), timezone.localtime(ends))
        ]
        rows = till_table(today(), today()).rows
    assert days == [100, 100] and len(rows) == 1


def test_the_till_names_the_species_where_two_are_called_the_same() -> None:
    """One number a product and species: a ribeye steak of bison is not one of cattle."""
    packs = [priced(), priced(lot=a_lot("26068-2", kind="bison", species="bison"))]
    number_items(packs)
    for made in packs:
        sold(made)
    page = day_page(today())
    assert {(one.species, one.count, one.cents) for one in page.products} == {
        ("cattle", 1, 3997),
        ("bison", 1, 3997),
    }
    table = till_table(today(), today())
    column = [one.heading for one in table.columns].index("item")
    assert sorted(row[column] for row in table.rows) == [1, 2]  # type: ignore[type-var]


@pytest.mark.parametrize("price", ["-5", "1e9", "NaN", "inf", "9" * 40, "5,5,5", "0x10"])
def test_a_sum_that_is_none_sells_nothing(counter_client: Client, price: str) -> None:
    made = priced()
    sent = {"code": f"{made.pk}", "ticket": str(uuid4()), "key": str(uuid4()), "price": price, "why": "x"}
    assert counter_client.post(reverse("counter_sell"), sent).status_code in (400, 409)
    assert not PackEvent.objects.exists()


@pytest.mark.parametrize("field", ["ticket", "key", "code"])
@pytest.mark.parametrize("value", ["", "x", "\x00", "\u202e" * 300])
def test_a_scan_that_says_no_pack_ticket_or_key_is_no_sale(
    counter_client: Client, field: str, value: str
) -> None:
    made = priced()
    sent = {"code": f"{made.pk}", "ticket": str(uuid4()), "key": str(uuid4()), field: value}
    assert counter_client.post(reverse("counter_sell"), sent).status_code in (400, 409)
    assert not PackEvent.objects.exists()
