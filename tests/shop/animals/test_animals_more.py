"""Bills and suppliers: every box at its edges, sums worked by hand, odd texts, roles, both languages."""

from __future__ import annotations

from typing import Any
from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import Animal, AuditLine, Person, Supplier

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def one() -> Animal:
    return Animal.objects.get(tag="C1")


def set_bill(client: Client, **typed: str) -> Any:
    sent = {"basis": "head", "amount": "$2,000", "why": "scale ticket"} | typed
    return client.post(reverse("bill", args=[one().pk]), sent)


@pytest.mark.parametrize(
    ("typed", "paid_cents", "fee_cents"),
    [
        ({"amount": "$2,000"}, 200_000, 0),
        ({"amount": "1999.99", "kill_fee": "125.50"}, 199_999, 12_550),
        ({"amount": "0", "kill_fee": "0"}, 0, 0),
        ({"basis": "raised", "amount": "$950"}, 95_000, 0),
        ({"basis": "live", "price": "3/kg", "live_weight": "600 kg"}, 180_000, 0),
        ({"basis": "live", "price": "45.359237/cwt", "live_weight": "600 kg"}, 60_000, 0),
        ({"basis": "live", "price": "$2", "live_weight": "1300"}, 260_000, 0),
    ],
)
def test_a_bill_worked_by_hand(
    owner_client: Client, typed: dict[str, str], paid_cents: int, fee_cents: int
) -> None:
    """600 kg at 3 dollars; at a dollar a kilogram; 1,300 lb at 2 dollars a pound."""
    assert set_bill(owner_client, **typed).status_code == 302
    bill = one().bill
    assert bill.paid_cents == pytest.approx(paid_cents, abs=1) and bill.kill_fee_cents == fee_cents
    line = AuditLine.objects.get(what="set a bill")
    assert (line.after["paid_cents"], line.why, line.by_name) == (bill.paid_cents, "scale ticket", "Marta")


@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("basis", ""),
        ("basis", "by the tail"),
        ("price", "-1/lb"),
        ("price", "1/stone"),
        ("price", "nan"),
        ("live_weight", "59 kg"),
        ("live_weight", "1801 kg"),
        ("live_weight", "heavy"),
        ("amount", "-1"),
        ("amount", "1e9"),
        ("amount", "x" * 10_000),
        ("kill_fee", "-0.01"),
        ("kill_fee", "\U0001f969"),
        ("why", ""),
        ("why", "x" * 201),
        ("why", "a\x00b"),
    ],
)
def test_a_box_of_the_bill_that_cannot_be(owner_client: Client, box: str, value: str) -> None:
    before = one().bill.paid_cents
    answer = set_bill(owner_client, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert one().bill.paid_cents == before and not AuditLine.objects.filter(what="set a bill").exists()


@pytest.mark.parametrize(
    "sought", ["\x00", "x" * 10_000, "\u202e", "\U0001f9ac", "' OR 1=1 --", "_", "<b>x</b>"]
)
def test_whatever_is_sought_gives_a_page(owner_client: Client, sought: str) -> None:
    answer = owner_client.get(reverse("animals"), {"sought": sought})
    assert answer.status_code == 200 and "<b>x</b>" not in answer.content.decode()


@pytest.mark.parametrize(
    ("box", "value", "is_kept"),
    [
        ("contact", "x" * 120, True),
        ("contact", "x" * 121, False),
        ("contact", "a\x00b", False),
        ("note", "x" * 2000, True),
        ("note", "x" * 2001, False),
        ("note", "\u05d1\u05e7\u05e8 \U0001f402", True),
    ],
)
def test_what_is_noted_of_a_supplier(owner_client: Client, box: str, value: str, is_kept: bool) -> None:
    supplier = Supplier.objects.get(name="Larkspur Draw")
    sent = {"contact": "", "note": "", box: value}
    answer = owner_client.post(reverse("supplier", args=[supplier.pk]), sent)
    assert answer.status_code == (302 if is_kept else 400)
    supplier.refresh_from_db()
    assert (getattr(supplier, box) == value) == is_kept


@pytest.mark.parametrize("name", ["animals", "suppliers", "animal", "bill"])
@pytest.mark.parametrize("unit", ["lb", "kg"])
def test_each_page_in_spanish(owner_client: Client, name: str, unit: str) -> None:
    likes("owner", "es", unit)
    answer = owner_client.get(reverse(name, args=[one().pk] if name in ("animal", "bill") else []))
    text = answer.content.decode()
    assert answer.status_code == 200 and '<html lang="es"' in text
    assert all(word not in text for word in ("Sold so far", "Its sides", "Kill fee", "Back to the animals"))


@pytest.mark.parametrize("name", ["animals", "suppliers", "animal", "bill"])
def test_a_visitor_is_led_to_the_sign_in(visitor_client: Client, name: str) -> None:
    address = reverse(name, args=[one().pk] if name in ("animal", "bill") else [])
    assert unquote(visitor_client.get(address)["Location"]) == f"{reverse('sign_in')}?next={address}"


@pytest.mark.parametrize("name", ["bid", "books", "books_table"])
@pytest.mark.parametrize("role", ["cutter", "counter"])
def test_pages_of_money_are_the_owners(request: pytest.FixtureRequest, name: str, role: str) -> None:
    assert request.getfixturevalue(f"{role}_client").get(reverse(name)).status_code == 403
