"""The rail's boxes at their edges, both units and languages, weights sent twice, odd texts, roles, an empty shop."""

from __future__ import annotations

import uuid
from decimal import ROUND_HALF_UP, Decimal
from typing import Any
from urllib.parse import unquote

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gambrel.shop import first_start
from gambrel.shop.records.models import Animal, AuditLine, Person, Rail, Side, Weighing

pytestmark = pytest.mark.django_db
SHOP = {"shop_name": "Juniper Flat", "zone": "America/Denver", "language": "en", "weight_unit": "lb",
        "owner": "Odalys", "password": "a hook and a rail", "again": "a hook and a rail"}  # fmt: skip
NEW = {"tag": "B9", "kind": "bison", "sex": "bull", "killed_on": "2026-03-08", "hot_left": "352 lb",
       "hot_right": "161.2kg", "inspected": "federal"}  # fmt: skip
AT = "2026-03-09T09:00"


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def hang(client: Client, **changes: str) -> Any:
    return client.post(reverse("hang_animal"), NEW | changes)


def hanging() -> Side:
    return Side.objects.select_related("animal").get(animal__tag="C1", half="left")


def weigh(client: Client, side: Side, weight: str, **more: str) -> Any:
    sent = {"weight": weight, "at": AT, "anyway": "on", "why": "as the scale says", **more}
    return client.post(reverse("weigh_side", args=[side.pk]), sent)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("tag", ""),
        ("tag", "   "),
        ("tag", "x" * 41),
        ("tag", "x" * 10_000),
        ("tag", "B\x009"),
        ("kind", "unicorn"),
        ("kind", ""),
        ("sex", "mare"),
        ("sex", ""),
        ("killed_on", ""),
        ("killed_on", "2026-03-10"),  # tomorrow
        ("killed_on", "2025-11-08"),  # 121 days ago
        ("killed_on", "2026-02-29"),
        ("killed_on", "9999-12-31"),
        ("hot_left", "1 kg"),
        ("hot_left", "9000 lb"),
        ("hot_left", "-160 kg"),
        ("hot_left", "heavy"),
        ("hot_left", "nan"),
        ("hot_right", "160 cm"),
        ("inspected", "nobody"),
        ("inspected", ""),
        ("born_on", "2026-03-08"),
        ("born_on", "2026-13-01"),
        ("age_months", "0"),
        ("age_months", "401"),
        ("age_months", "2.5"),
        ("kph_pct", "-0.1"),
        ("kph_pct", "12.1"),
        ("kph_pct", "nan"),
        ("supplier", "x" * 81),
        ("supplier", "a\x00b"),
        ("plant", "x" * 81),
        ("rail", "987654"),
        ("rail", "a\x00b"),
        ("basis", "by the tail"),
        ("price", "-1/lb"),
        ("live_weight", "20 lb"),
        ("live_weight", "2 t"),
        ("amount", "much"),
        ("amount", "-5"),
        ("kill_fee", "-5"),
        ("kill_fee", "1e9"),
    ],
)
def test_what_cannot_be_of_a_new_animal(owner_client: Client, box: str, value: str) -> None:
    lines = AuditLine.objects.count()
    answer = hang(owner_client, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert not Animal.objects.filter(tag="B9").exists() and AuditLine.objects.count() == lines


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("box", "value", "name", "kept"),
    [
        ("tag", "  B   9 ", "tag", "B 9"),
        ("tag", "x" * 40, "tag", "x" * 40),
        ("tag", "\U0001f9ac 7", "tag", "\U0001f9ac 7"),
        ("tag", "\u0628 7", "tag", "\u0628 7"),
        ("tag", "<i>9</i>", "tag", "<i>9</i>"),
        ("age_months", "1", "age_months", 1),
        ("age_months", "400", "age_months", 400),
        ("age_months", "", "age_months", None),
        ("kph_pct", "0", "kph_pct", 0.0),
        ("kph_pct", "12", "kph_pct", 12.0),
        ("plant", "x" * 80, "killed_at_plant", "x" * 80),
        ("inspected", "state", "inspected", "state"),
    ],
)
def test_what_is_kept_of_a_new_animal(
    owner_client: Client, box: str, value: str, name: str, kept: object
) -> None:
    assert hang(owner_client, **{box: value}).status_code == 302
    animal = Animal.objects.latest("pk")
    assert getattr(animal, name) == kept
    assert AuditLine.objects.get(what="brought in", record_id=str(animal.pk)).after["tag"] == animal.tag
    assert "<i>9" not in owner_client.get(reverse("rail")).content.decode()


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("day", ["2026-03-09", "2025-11-09"], ids=["today", "120 days ago"])
def test_the_first_and_the_last_day_of_a_kill(owner_client: Client, day: str) -> None:
    assert hang(owner_client, killed_on=day).status_code == 302
    assert str(Animal.objects.get(tag="B9").killed_on) == day


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("paid", "cents"),
    [
        ({"basis": "head", "amount": "$1,900.50"}, 190_050),
        ({"basis": "raised", "amount": "1000"}, 100_000),
        ({"basis": "rail", "price": "$5.00/kg"}, 160_430),
        ({"basis": "live", "price": "$3/kg", "live_weight": "560 kg"}, 168_000),
        ({"basis": "live", "price": "45.359237/cwt", "live_weight": "560 kg"}, 56_000),
    ],
    ids=["by the head", "raised", "on the rail", "live", "by the hundredweight"],
)
def test_what_was_paid_worked_by_hand(owner_client: Client, paid: dict[str, str], cents: int) -> None:
    """159.66 + 161.2 kg hot = 320.86 kg at 5 dollars a kilogram; 560 kg live at 3 dollars, or at 1 dollar."""
    assert hang(owner_client, hot_left="159.66 kg", **paid).status_code == 302
    assert Animal.objects.get(tag="B9").bill.paid_cents == cents


BY_POUNDS = [
    ({"basis": "rail", "price": "$3.83/lb"}, 269_632),
    ({"basis": "rail", "price": "$4.25/lb"}, 299_200),
    ({"basis": "live", "price": "$1.83/lb", "live_weight": "1307 lb"}, 239_181),
    ({"basis": "live", "price": "$1.835/lb", "live_weight": "1307 lb"}, 239_835),
]
"""Hot 352 + 352 lb: 704 x 3.83 = 2,696.32 and x 4.25 = 2,992.00; live 1,307 x 1.83 = 2,391.81 and x 1.835 =
2,398.345, half a cent that goes up."""


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(("paid", "cents"), BY_POUNDS)
def test_a_bill_in_pounds_is_the_pounds_times_the_price(
    owner_client: Client, paid: dict[str, str], cents: int
) -> None:
    """Kept to the gram, 352 lb are a fifth of a gram short; the bill is summed from what was typed."""
    assert hang(owner_client, hot_left="352 lb", hot_right="352", **paid).status_code == 302
    animal = Animal.objects.get(tag="B9")
    assert animal.bill.paid_cents == cents
    assert [side.hot_typed for side in animal.sides.order_by("half")] == ["352 lb", "352 lb"]
    animal.bill.delete()
    later = {"price": "", "live_weight": "", "amount": "", "kill_fee": "", "why": "it came later", **paid}
    assert owner_client.post(reverse("bill", args=[animal.pk]), later).status_code == 302
    assert Animal.objects.get(tag="B9").bill.paid_cents == cents


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("price", ["7", "9.99", "12.345"])
@pytest.mark.parametrize("pounds", [301, 333.3, 347.7, 402])
def test_a_bill_on_the_rail_is_right_to_the_cent_at_any_weight(
    owner_client: Client, pounds: float, price: str
) -> None:
    """Worked in decimals: the pounds of both sides times the price, halves up."""
    assert hang(
        owner_client, hot_left=f"{pounds} lb", hot_right=f"{pounds} lb", basis="rail", price=f"{price}/lb"
    )
    exact = 2 * Decimal(str(pounds)) * Decimal(price) * 100
    assert Animal.objects.get(tag="B9").bill.paid_cents == int(exact.to_integral_value(ROUND_HALF_UP))


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    "paid",
    [
        {"basis": "head"},
        {"basis": "raised"},
        {"basis": "rail"},
        {"basis": "live", "price": "3/kg"},
        {"basis": "live", "live_weight": "560 kg"},
        {"basis": "live", "price": "3/kg", "live_weight": "300 kg"},
        {"basis": "live", "price": "3/kg", "live_weight": "1700 kg"},
    ],
    ids=["no amount", "no cost", "no price", "no live weight", "no live price", "too light", "too heavy"],
)
def test_a_bill_that_cannot_be_is_told_and_nothing_hangs(owner_client: Client, paid: dict[str, str]) -> None:
    answer = hang(owner_client, **paid)
    assert answer.status_code == 400 and len(answer.context["found"]) == 1
    assert not Animal.objects.filter(tag="B9").exists()


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "typed", "kept", "written"),
    [
        ("lb", "350", "158.757", "350 lb"),
        ("lb", "158 kg", "158.000", "158 kg"),
        ("kg", "158", "158.000", "158 kg"),
        ("kg", "158,5", "158.500", "158,5 kg"),
        ("kg", "350lb", "158.757", "350lb"),
        ("kg", "1", "1.000", "1 kg"),
        ("kg", "600", "600.000", "600 kg"),
    ],
)
def test_a_weight_as_typed(owner_client: Client, unit: str, typed: str, kept: str, written: str) -> None:
    """350 lb x 0.45359237 = 158.757 kg; what was typed stays beside it, with the unit it was taken in."""
    likes("owner", "en", unit)
    assert weigh(owner_client, hanging(), typed).status_code == 302
    line = Weighing.objects.latest("pk")
    assert (line.weight_kg, line.typed, line.side) == (Decimal(kept), written, hanging())
    assert line.by == Person.objects.get(role="owner")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("weight", ""),
        ("weight", "0"),
        ("weight", "0.9 kg"),
        ("weight", "601 kg"),
        ("weight", "-5 kg"),
        ("weight", "nan"),
        ("weight", "inf kg"),
        ("weight", "x" * 10_000),
        ("weight", "1\x0060 kg"),
        ("weight", "\U0001f969"),
        ("at", ""),
        ("at", "2026-03-09T09:31"),
        ("at", "2026-02-30T09:00"),
        ("at", "\u0663"),
        ("key", "not a key"),
        ("key", "\x00"),
        ("why", "x" * 201),
        ("why", "a\x00b"),
        ("why", ""),
    ],
)
def test_a_weight_that_cannot_be(owner_client: Client, box: str, value: str) -> None:
    """With `anyway` ticked: a tick passes by what is unlikely, never by what cannot be."""
    before = Weighing.objects.count()
    answer = weigh(owner_client, hanging(), **({"weight": "150 kg"} | {box: value}))
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert Weighing.objects.count() == before


@pytest.mark.usefixtures("demo_shop")
def test_an_unlikely_weight_is_asked_about_first(owner_client: Client) -> None:
    """A side never gains a third of its hot weight on the hook."""
    side, before = hanging(), Weighing.objects.count()
    heavier = f"{side.hot_kg * Decimal('1.3'):.1f} kg"
    asked = owner_client.post(reverse("weigh_side", args=[side.pk]), {"weight": heavier, "at": AT})
    assert asked.status_code == 400 and asked.context["found"] and Weighing.objects.count() == before
    assert f'value="{heavier}"' in asked.content.decode()
    assert weigh(owner_client, side, heavier).status_code == 302
    assert Weighing.objects.count() == before + 1


@pytest.mark.usefixtures("demo_shop")
def test_a_key_sent_twice_is_one_weight(owner_client: Client) -> None:
    key, before = str(uuid.uuid4()), Weighing.objects.count()
    for typed in ("150 kg", "151 kg"):
        assert weigh(owner_client, hanging(), typed, key=key).status_code == 302
    assert Weighing.objects.count() == before + 1
    assert Weighing.objects.get(key=key).weight_kg == Decimal("150.000")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("place_m", "position_mm"),
    [("0", 0), ("3.0", 3000), ("4.3", None), ("-1", None), ("far", None), ("nan", None)],
)
def test_a_place_on_an_empty_rail(owner_client: Client, place_m: str, position_mm: int | None) -> None:
    """The rail is 4.2 m long."""
    rail, side = Rail.objects.create(room=Rail.objects.all()[0].room, name="New", length_mm=4200), hanging()
    sent = {"rail": str(rail.pk), "place_m": place_m}
    answer = owner_client.post(reverse("move_side", args=[side.pk]), sent)
    again = Side.objects.get(pk=side.pk)
    if position_mm is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["place_m"]
        assert (again.rail_id, again.position_mm) == (side.rail_id, side.position_mm)
    else:
        assert answer.status_code == 302 and (again.rail, again.position_mm) == (rail, position_mm)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("state", "why", "box"),
    [
        ("gone", "", "why"),
        ("gone", "x" * 201, "why"),
        ("gone", "a\x00", "why"),
        ("hanging", "x", "state"),
        ("", "x", "state"),
    ],
)
def test_a_side_that_is_not_taken_down(owner_client: Client, state: str, why: str, box: str) -> None:
    side = hanging()
    answer = owner_client.post(reverse("take_down", args=[side.pk]), {"state": state, "why": why})
    assert answer.status_code == 400 and box in answer.context["form"].errors
    assert Side.objects.get(pk=side.pk).state == "hanging"


@pytest.mark.usefixtures("demo_shop")
def test_a_side_gone_whole_leaves_the_rail_once(owner_client: Client) -> None:
    side = hanging()
    for _ in range(2):
        owner_client.post(reverse("take_down", args=[side.pk]), {"state": "gone", "why": "sold whole"})
    again = Side.objects.get(pk=side.pk)
    assert (again.state, again.rail, again.position_mm) == ("gone", None, None)
    assert AuditLine.objects.filter(why="sold whole").count() <= 1
    assert (
        f'href="{reverse("side", args=[side.pk])}"' not in owner_client.get(reverse("rail")).content.decode()
    )


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("language", "words"),
    [("en", ("<h1>Rail</h1>", "Weight today")), ("es", ("<h1>Riel</h1>", '<html lang="es"'))],
)
def test_the_page_in_its_language(owner_client: Client, language: str, words: tuple[str, ...]) -> None:
    likes("owner", language, "kg")
    text = owner_client.get(reverse("rail")).content.decode()
    assert [word for word in words if word not in text] == []
    assert ("Weight today" in text) == (language == "en")


@pytest.mark.usefixtures("demo_shop")
def test_every_side_has_a_line_that_leads_to_it(owner_client: Client) -> None:
    text = owner_client.get(reverse("rail")).content.decode()
    sides = Side.objects.filter(state="hanging")
    assert text.count('scope="row"') == sides.count() == 18 and text.count('scope="col"') == 10
    for side in sides[:4]:
        address = reverse("side", args=[side.pk])
        assert f'href="{address}"' in text and owner_client.get(address).status_code == 200


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["hang_animal", "weigh_side", "move_side", "take_down"])
def test_the_counter_looks_and_touches_nothing(counter_client: Client, name: str) -> None:
    args = [] if name == "hang_animal" else [hanging().pk]
    assert counter_client.get(reverse("rail")).status_code == 200
    assert counter_client.post(reverse(name, args=args), NEW).status_code == 403
    assert "Hang an animal" not in counter_client.get(reverse("rail")).content.decode()


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["rail", "side", "hang_animal", "weigh_side", "move_side", "take_down"])
def test_a_visitor_is_led_to_the_sign_in(visitor_client: Client, name: str) -> None:
    address = reverse(name, args=[] if name in ("rail", "hang_animal") else [hanging().pk])
    assert unquote(visitor_client.get(address)["Location"]) == f"{reverse('sign_in')}?next={address}"


@pytest.mark.usefixtures("empty_shop")
def test_an_empty_rail_says_what_comes_next(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    text = client.get(reverse("rail")).content.decode()
    assert "Nothing hangs." in text and reverse("hang_animal") in text and "<table" not in text


@pytest.mark.usefixtures("empty_shop")
def test_the_first_animal_hangs_without_a_rail_and_is_named(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    assert hang(client).status_code == 302
    text = client.get(reverse("rail")).content.decode()
    assert "no rail is named for them" in text and "B9" in text
    assert Side.objects.count() == 2 and not Side.objects.filter(rail__isnull=False).exists()
