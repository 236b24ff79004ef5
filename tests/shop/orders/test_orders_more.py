"""The boxes of an order at their edges, its page in both languages and units, who may do what, and the trail."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from urllib.parse import unquote

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gambrel.shop import first_start
from gambrel.shop.clock import today
from gambrel.shop.records.models import AuditLine, Customer, Order, Person

pytestmark = pytest.mark.django_db
SHOP = {"shop_name": "Juniper Flat", "zone": "America/Denver", "language": "en", "weight_unit": "lb",
        "owner": "Odalys", "password": "a hook and a rail", "again": "a hook and a rail"}  # fmt: skip


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def in_days(days: int) -> str:
    return (today() + timedelta(days=days)).isoformat()


def typed(**changes: str) -> dict[str, str]:
    return {"customer": "The Juniper Table", "slug": "brisket-whole", "group": "grain-finished", "weight": "12 lb",
            "by_day": in_days(5), "price": "9.25/lb", "shelf_days": "5", "must": "on", **changes}  # fmt: skip


def take(client: Client, **changes: str) -> Any:
    return client.post(reverse("new_order"), typed(**changes))


def open_order() -> Order:
    order = Order.objects.filter(state="open").order_by("pk").first()
    assert order is not None
    return order


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "weight", "kept"),
    [
        ("lb", "1", "0.454"),
        ("lb", "10", "4.536"),
        ("lb", "100 lb", "45.359"),
        ("lb", "2kg", "2.000"),
        ("lb", "2,5 kg", "2.500"),
        ("kg", "10", "10.000"),
        ("kg", "10 lb", "4.536"),
        ("kg", "0.001", "0.001"),
        ("kg", "0.0004", None),
        ("kg", "0", None),
        ("kg", "-1", None),
        ("kg", "", None),
        ("kg", "a whole cow", None),
        ("kg", "3 in", None),
        ("kg", "nan", None),
        ("kg", "inf", None),
        ("kg", "1e300", None),
        ("kg", "9" * 41, None),
    ],
)
def test_a_weight_as_typed(counter_client: Client, unit: str, weight: str, kept: str | None) -> None:
    """A pound is 0.45359237 kg; kept to the gram."""
    likes("counter", "en", unit)
    before = Order.objects.count()
    answer = take(counter_client, weight=weight)
    if kept is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["weight"]
        assert Order.objects.count() == before
    else:
        assert answer.status_code == 302 and Order.objects.latest("pk").weight_kg == Decimal(kept)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "price", "cents_per_kg"),
    [
        ("lb", "4.5359237", 1000.0),
        ("lb", "$4.5359237/lb", 1000.0),
        ("lb", "$20/kg", 2000.0),
        ("kg", "20", 2000.0),
        ("kg", "0", 0.0),
        ("kg", "$1,200.50/kg", 120_050.0),
        ("kg", "45.359237/cwt", 100.0),
        ("kg", "-1", None),
        ("kg", "20/stone", None),
        ("kg", "dear", None),
        ("kg", "", None),
        ("kg", "1e5", None),
        ("kg", "nan", None),
    ],
)
def test_a_price_as_typed(counter_client: Client, unit: str, price: str, cents_per_kg: float | None) -> None:
    """A hundredweight is 45.359237 kg, so 45.359237 dollars of it are a dollar a kilogram."""
    likes("counter", "en", unit)
    answer = take(counter_client, price=price)
    if cents_per_kg is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["price"]
    else:
        assert answer.status_code == 302
        assert Order.objects.latest("pk").price_cents_per_kg == pytest.approx(cents_per_kg)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("days", "is_kept"), [(-1, False), (0, True), (1, True), (400, True), (401, False), (9000, False)]
)
def test_a_day_from_today_on(counter_client: Client, days: int, is_kept: bool) -> None:
    answer = take(counter_client, by_day=in_days(days))
    assert answer.status_code == (302 if is_kept else 400)
    if is_kept:
        assert Order.objects.latest("pk").by_day == today() + timedelta(days=days)
    else:
        assert list(answer.context["form"].errors) == ["by_day"]


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("by_day", "2026-02-30"),
        ("by_day", "soon"),
        ("by_day", ""),
        ("shelf_days", "-1"),
        ("shelf_days", "1.5"),
        ("shelf_days", "99999"),
        ("shelf_days", ""),
        ("slug", "unicorn"),
        ("slug", ""),
        ("group", "goat"),
        ("group", ""),
        ("customer", ""),
        ("customer", "   "),
        ("customer", "x" * 81),
        ("customer", "x" * 10_000),
        ("customer", "a\x00b"),
        ("contact", "x" * 121),
        ("contact", "a\x00b"),
    ],
)
def test_what_cannot_be_is_told_by_its_own_box(counter_client: Client, box: str, value: str) -> None:
    before, customers = Order.objects.count(), Customer.objects.count()
    answer = take(counter_client, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert (Order.objects.count(), Customer.objects.count()) == (before, customers)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("x" * 80, "x" * 80),
        ("  Two   Mile  Diner ", "Two Mile Diner"),
        ("Caf\u00e9 \U0001f969", "Caf\u00e9 \U0001f969"),
        ("\u05d1\u05e9\u05e8", "\u05d1\u05e9\u05e8"),
        ("<b>Bold</b> & Sons", "<b>Bold</b> & Sons"),
        ("'; DROP TABLE records_order; --", "'; DROP TABLE records_order; --"),
    ],
    ids=["longest", "spaces", "emoji", "right to left", "a tag", "a quote"],
)
def test_a_name_of_any_kind_is_text(counter_client: Client, name: str, kept: str) -> None:
    answer = take(counter_client, customer=name)
    order = Order.objects.latest("pk")
    assert order.customer is not None and order.customer.name == kept
    text = counter_client.get(answer["Location"]).content.decode()
    assert "<b>Bold" not in text and answer["Location"] == reverse("order", args=[order.pk])


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["The Juniper Table", "the juniper TABLE", " The  Juniper Table "])
def test_a_customer_is_known_again(counter_client: Client, name: str) -> None:
    before = Customer.objects.count()
    assert take(counter_client, customer=name).status_code == 302
    assert Customer.objects.count() == before


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(("must", "out"), [("", ""), ("on", ""), ("", "on"), ("on", "on")])
def test_boxes_that_are_ticked_or_not(counter_client: Client, must: str, out: str) -> None:
    ticked = {key: value for key, value in typed(must=must, out_of_state=out).items() if value}
    assert counter_client.post(reverse("new_order"), ticked).status_code == 302
    order = Order.objects.latest("pk")
    assert (order.must, order.out_of_state) == (bool(must), bool(out))


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "weight", "beside"),
    [("lb", "100.0 lb", "45.4 kg"), ("kg", "45.4 kg", "100.0 lb")],
)
def test_weight_and_price_on_the_page(counter_client: Client, unit: str, weight: str, beside: str) -> None:
    """100 lb x 0.45359237 = 45.359 kg; $4.00 a pound / 0.45359237 = $8.82 a kilogram (8.8185)."""
    likes("counter", "en", unit)
    place = take(counter_client, weight="100 lb", price="$4.00/lb")["Location"]
    prices = ("$4.00/lb", "$8.82/kg") if unit == "lb" else ("$8.82/kg", "$4.00/lb")
    for address in (place, reverse("orders")):
        text = counter_client.get(address).content.decode()
        assert f"{weight} <small>{beside}</small>" in text
        assert f"{prices[0]} <small>{prices[1]}</small>" in text


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("language", "heading"), [("en", '<h1 id="orders-head">Orders'), ("es", '<h1 id="orders-head">Pedidos')]
)
def test_the_list_in_its_language(counter_client: Client, language: str, heading: str) -> None:
    likes("counter", language, "kg")
    text = counter_client.get(reverse("orders")).content.decode()
    assert heading in text and f'<html lang="{language}"' in text


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["new_order", "order", "change_order", "close_order"])
def test_other_pages_answer_in_spanish(counter_client: Client, name: str) -> None:
    likes("counter", "es", "kg")
    args = [] if name == "new_order" else [open_order().pk]
    answer = counter_client.get(reverse(name, args=args))
    text = answer.content.decode()
    assert answer.status_code == 200 and '<html lang="es"' in text
    assert all(
        word not in text for word in ("Customer", "Who changed what", "Hand over or cancel", "Take an order")
    )


@pytest.mark.usefixtures("demo_shop")
def test_a_change_shows_what_is_kept_and_sent_back_changes_no_figure(counter_client: Client) -> None:
    order = open_order()
    address = reverse("change_order", args=[order.pk])
    form = counter_client.get(address).context["form"]
    sent = {"weight": form["weight"].value(), "by_day": str(form["by_day"].value()),
            "price": form["price"].value(), "why": "looked at it"}  # fmt: skip
    answer = counter_client.post(address, sent | ({"must": "on"} if order.must else {}))
    assert answer.status_code == 302
    again = Order.objects.get(pk=order.pk)
    assert (again.weight_kg, again.by_day, again.must) == (order.weight_kg, order.by_day, order.must)
    assert again.price_cents_per_kg == pytest.approx(order.price_cents_per_kg, abs=0.01)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "weight", "price"), [("lb", "6.614 lb", "$9.09/lb"), ("kg", "3 kg", "$20.05/kg")]
)
def test_a_figure_that_nobody_touches_is_not_rounded_by_the_other_unit(
    counter_client: Client, unit: str, weight: str, price: str
) -> None:
    """3 kg are 6.614 lb; $20.05 a kilogram are $9.0945 a pound, which the box shows to the cent."""
    Order.objects.filter(pk=open_order().pk).update(weight_kg=Decimal("3.000"), price_cents_per_kg=2005.0)
    likes("counter", "en", unit)
    address = reverse("change_order", args=[open_order().pk])
    form = counter_client.get(address).context["form"]
    assert (form["weight"].value(), form["price"].value()) == (weight, price)
    sent = {"weight": weight, "price": price, "by_day": in_days(3), "why": "two days later"}
    assert counter_client.post(address, sent).status_code == 302
    again = open_order()
    assert (again.weight_kg, again.price_cents_per_kg) == (Decimal("3.000"), 2005.0)
    assert str(again.by_day) == in_days(3)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("why", "is_kept"),
    [
        ("", False),
        ("  ", False),
        ("x" * 200, True),
        ("x" * 201, False),
        ("a\x00b", False),
        ("\U0001f44d", True),
    ],
    ids=["nothing", "spaces", "longest", "one too long", "nul", "emoji"],
)
def test_a_reason_of_any_kind(counter_client: Client, why: str, is_kept: bool) -> None:
    order, lines = open_order(), AuditLine.objects.count()
    sent = {"weight": "3 kg", "by_day": in_days(2), "price": "10/kg", "why": why}
    answer = counter_client.post(reverse("change_order", args=[order.pk]), sent)
    assert answer.status_code == (302 if is_kept else 400)
    assert AuditLine.objects.count() == lines + is_kept
    order.refresh_from_db()
    assert (order.weight_kg == Decimal("3.000")) == is_kept


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("state", "what", "after"),
    [("filled", "handed over an order", "filled"), ("cancelled", "cancelled an order", "cancelled")],
)
def test_closing_stands_in_the_trail_and_on_the_page(
    counter_client: Client, state: str, what: str, after: str
) -> None:
    order = open_order()
    sent = {"state": state, "why": "gate was shut"}
    assert counter_client.post(reverse("close_order", args=[order.pk]), sent)["Location"] == reverse("orders")
    line = AuditLine.objects.get(what=what)
    assert (line.before["state"], line.after["state"], line.why) == ("open", after, "gate was shut")
    assert line.by == Person.objects.get(role="counter") and line.record_id == str(order.pk)
    text = counter_client.get(reverse("order", args=[order.pk])).content.decode()
    assert "gate was shut" in text and reverse("change_order", args=[order.pk]) not in text


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("state", ["open", "eaten", "", "a\x00"])
def test_a_state_that_cannot_be_closed_into(counter_client: Client, state: str) -> None:
    order = open_order()
    answer = counter_client.post(reverse("close_order", args=[order.pk]), {"state": state, "why": "x"})
    assert answer.status_code == 400
    order.refresh_from_db()
    assert order.state == "open"


@pytest.mark.usefixtures("demo_shop")
def test_a_closed_order_is_not_changed_any_more(counter_client: Client) -> None:
    order = open_order()
    counter_client.post(reverse("close_order", args=[order.pk]), {"state": "filled"})
    sent = {"weight": "3 kg", "by_day": in_days(2), "price": "10/kg", "why": "late call"}
    answer = counter_client.post(reverse("change_order", args=[order.pk]), sent)
    assert answer.status_code == 400
    again = Order.objects.get(pk=order.pk)
    assert (again.weight_kg, again.state) == (order.weight_kg, "filled")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["new_order", "change_order", "close_order"])
def test_the_cutter_changes_no_order(cutter_client: Client, name: str) -> None:
    args = [] if name == "new_order" else [open_order().pk]
    assert cutter_client.get(reverse(name, args=args)).status_code == 403
    assert cutter_client.post(reverse(name, args=args), typed()).status_code == 403


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["orders", "order", "new_order", "change_order", "close_order"])
def test_a_visitor_sees_no_order(visitor_client: Client, name: str) -> None:
    address = reverse(name, args=[] if name in ("orders", "new_order") else [open_order().pk])
    answer = visitor_client.get(address)
    assert answer.status_code == 302
    assert unquote(answer["Location"]) == f"{reverse('sign_in')}?next={address}"


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["order", "change_order", "close_order"])
def test_an_order_that_is_nowhere(counter_client: Client, name: str) -> None:
    assert counter_client.get(reverse(name, args=[987_654])).status_code == 404


@pytest.mark.usefixtures("demo_shop")
def test_every_link_to_an_order_leads_there(counter_client: Client) -> None:
    text = counter_client.get(reverse("orders")).content.decode()
    for order in Order.objects.filter(state="open"):
        address = reverse("order", args=[order.pk])
        assert f'href="{address}"' in text
        assert order.code in counter_client.get(address).content.decode()
    assert 'role="region" aria-labelledby="orders-head"' in text and text.count('scope="col"') == 8


@pytest.mark.usefixtures("empty_shop")
def test_a_shop_without_orders_says_so_and_offers_one(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    text = client.get(reverse("orders")).content.decode()
    assert "No order is open." in text and reverse("new_order") in text and "<table" not in text


@pytest.mark.usefixtures("empty_shop")
def test_the_first_order_is_number_one(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    assert take(client, customer="First Caller").status_code == 302
    order = Order.objects.get()
    assert order.code == "1" and order.taken_by == Person.objects.get()
    assert Customer.objects.get().name == "First Caller"
    assert AuditLine.objects.get(what="took an order").after["weight_kg"] == "5.443"
