"""The books against sums made by hand: what an animal cost, brought, and has left on the shelf."""

from __future__ import annotations

import csv
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Animal,
    Bill,
    Cutting,
    Lot,
    Pack,
    PackEnd,
    PackEvent,
    ShopProfile,
    Side,
    Supplier,
)  # fmt: skip
from gambrel.shop.records.selectors.books import Account, books_page, usual_period

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def cut_animal(
    tag: str, *, paid_cents: int | None, kind: str = "bison", supplier: str = "Hand's Ranch"
) -> Lot:
    """An animal killed today with one cut side of 150 kg, out of which packs may be made."""
    source, _ = Supplier.objects.get_or_create(name=supplier)
    animal = Animal.objects.create(tag=tag, kind=kind, sex="bull", killed_on=today(), supplier=source)
    if paid_cents is not None:
        Bill.objects.create(animal=animal, basis="head", paid_cents=paid_cents, kill_fee_cents=12_500)
    side = Side.objects.create(animal=animal, half="left", hot_kg=Decimal("150"), hung_at=now(), state="cut")
    cutting = Cutting.objects.create(side=side, begun_at=now(), begun_kg=Decimal("147"))
    return Lot.objects.create(code=f"L-{tag}", cutting=cutting, made_on=today(), kind=kind, species="bison",
                              inspected="federal")  # fmt: skip


def pack(lot: Lot, net_kg: str, price_cents_per_kg: float) -> Pack:
    return Pack.objects.create(lot=lot, slug="ribeye-steak", net_kg=Decimal(net_kg), at=now(),
                               price_cents_per_kg=price_cents_per_kg)  # fmt: skip


def event(one: Pack, what: str, cents: int = 0) -> None:
    PackEvent.objects.create(pack=one, what=what, at=now(), cents=cents)


def account(tag: str) -> Account:
    first, last = usual_period(today())
    page = books_page(ShopProfile.objects.get(), first=first, last=last)
    return next(one for one in page.animals if one.name == tag)


def test_an_animal_sold_in_part() -> None:
    ShopProfile.objects.update(overhead_cents_per_head=18_000)
    lot = cut_animal("H1", paid_cents=190_000)
    sold, left, spoiled = pack(lot, "2.000", 5_000), pack(lot, "3.000", 4_000), pack(lot, "1.000", 3_000)
    event(sold, PackEnd.SOLD, 10_000)
    event(spoiled, PackEnd.SPOILED)
    one = account("H1")
    assert left.net_kg == 3
    # cost 1,900 + 125 kill + 180 by the head; packed 2 + 3 + 1; sold 2 kg for $100; on the shelf 3 kg at $40
    assert (one.cost_cents, one.packed_kg, one.sold_kg, one.sold_cents) == (220_500, 6.0, 2.0, 10_000)
    assert (one.shelf_kg, one.shelf_cents) == (3.0, 12_000)
    assert one.earned_cents == 10_000 - 220_500
    assert one.margin_share == pytest.approx((10_000 - 220_500) / 10_000)


def test_a_pack_that_came_back_is_on_the_shelf_and_its_money_is_gone() -> None:
    one_pack = pack(cut_animal("H2", paid_cents=100_000), "2.500", 2_000)
    event(one_pack, PackEnd.SOLD, 5_000)
    event(one_pack, PackEnd.RETURNED, 5_000)
    one = account("H2")
    assert (one.sold_kg, one.sold_cents, one.shelf_kg, one.shelf_cents) == (0.0, 0, 2.5, 5_000)
    event(one_pack, PackEnd.SOLD, 4_500)
    assert (account("H2").sold_cents, account("H2").shelf_kg) == (4_500, 0.0)


def test_without_a_bill_the_cost_is_not_known_and_no_margin_is_said() -> None:
    event(pack(cut_animal("H3", paid_cents=None), "2", 5_000), PackEnd.SOLD, 10_000)
    one = account("H3")
    assert (one.cost_cents, one.earned_cents, one.margin_share) == (None, None, None)


def test_animals_are_put_together_by_kind_and_supplier() -> None:
    event(pack(cut_animal("H4", paid_cents=50_000, supplier="Upper Field"), "1", 1_000), PackEnd.SOLD, 1_000)
    event(pack(cut_animal("H5", paid_cents=70_000, supplier="Upper Field"), "2", 1_000), PackEnd.SOLD, 2_000)
    first, last = usual_period(today())
    page = books_page(ShopProfile.objects.get(), first=first, last=last)
    upper = next(one for one in page.suppliers if one.name == "Upper Field")
    overhead = ShopProfile.objects.get().overhead_cents_per_head
    assert (upper.head, upper.sold_cents, upper.hot_kg) == (2, 3_000, 300.0)
    assert upper.cost_cents == 50_000 + 70_000 + 2 * (12_500 + overhead)
    assert page.total.head == len(page.animals) == sum(one.head for one in page.kinds)
    assert page.total.sold_cents == sum(one.sold_cents for one in page.animals) == 3_000


def test_only_animals_of_the_period_are_counted() -> None:
    lot = cut_animal("H6", paid_cents=1)
    Animal.objects.filter(tag="H6").update(killed_on=today() - timedelta(days=200))
    pack(lot, "1", 1_000)
    first, last = usual_period(today())
    page = books_page(ShopProfile.objects.get(), first=first, last=last)
    assert "H6" not in {one.name for one in page.animals}


def test_the_number_of_questions_does_not_grow_with_the_animals() -> None:
    first, last = usual_period(today())
    shop = ShopProfile.objects.get()
    with CaptureQueriesContext(
        connection,
    ) as few:
        books_page(shop, first=first, last=last)
    for number in range(20):
        event(pack(cut_animal(f"N{number}", paid_cents=100), "1", 100), PackEnd.SOLD, 100)
    with CaptureQueriesContext(connection) as many:
        books_page(shop, first=first, last=last)
    assert len(many) == len(few) <= 6


def test_the_page_and_its_table(owner_client: Client) -> None:
    event(pack(cut_animal("=H7", paid_cents=190_000), "2", 5_000), PackEnd.SOLD, 10_000)
    text = owner_client.get(reverse("books")).content.decode()
    assert "=H7" in text and "$100.00" in text
    answer = owner_client.get(reverse("books_table"))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    row = next(one for one in rows if one["animal"].endswith("H7"))
    assert row["animal"] == "'=H7", "a name that a spreadsheet would run as a formula is kept a text"
    assert "100.00" in row.values()


@pytest.mark.parametrize(
    "asked", [{"first": "soon", "last": "2026-03-09"}, {"first": "2026-03-09", "last": "2026-03-01"},
              {"first": "2025-01-01", "last": "2026-01-01"}, {"first": "2026-03-01"}], ids=str,
)  # fmt: skip
def test_a_period_that_is_none_is_told(owner_client: Client, asked: dict[str, str]) -> None:
    for name in ("books", "books_table"):
        answer = owner_client.get(reverse(name), asked)
        assert answer.status_code == 400 and answer.context["form"].errors


def test_only_the_owner_opens_the_books(cutter_client: Client, counter_client: Client) -> None:
    assert cutter_client.get(reverse("books")).status_code == 403
    assert counter_client.get(reverse("books_table")).status_code == 403
