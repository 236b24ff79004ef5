"""The shop's settings: every box at its edges, in both units and languages, with the trail of each change."""

from __future__ import annotations

from typing import Any
from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import AuditLine, CoolerRoom, Person, Rail, ShopProfile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def send(client: Client, name: str, **changes: object) -> Any:
    """What the page holds, with some boxes changed, as a browser sends it."""
    form = client.get(reverse(name)).context["form"]
    held = {field.html_name: field.value() for field in form}
    return client.post(
        reverse(name), {key: value for key, value in held.items() if value is not None} | changes
    )


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


@pytest.mark.parametrize(
    ("name", "box", "value", "kept_as", "kept"),
    [
        ("money", "target_margin_pct", "0", "target_margin_pct", 0.0),
        ("money", "target_margin_pct", "95", "target_margin_pct", 95.0),
        ("money", "may_lose_pct", "0.1", "may_lose_pct", 0.1),
        ("money", "may_lose_pct", "50", "may_lose_pct", 50.0),
        ("money", "price_ending_cents", "0", "price_ending_cents", 0),
        ("money", "price_ending_cents", "98", "price_ending_cents", 98),
        ("money", "overhead", "0", "overhead_cents_per_head", 0),
        ("money", "overhead", "$1,250.75", "overhead_cents_per_head", 125_075),
        ("money", "packing_cents_per_kg", "$1.00/kg", "packing_cents_per_kg", 100.0),
        ("money", "packing_cents_per_kg", "0.45359237", "packing_cents_per_kg", 100.0),
        ("money", "waste_cents_per_kg", "45.359237/cwt", "waste_cents_per_kg", 100.0),
        ("money", "hanging_on_cents_per_kg", "4/kg", "hanging_on_cents_per_kg", 400.0),
        ("work", "wage", "31", "wage_cents_per_hour", 3100),
        ("work", "wage", "$0", "wage_cents_per_hour", 0),
        ("work", "wage", "$1,000", "wage_cents_per_hour", 100_000),
        ("work", "per_side", "50 cm", "rail_per_side_mm", 500),
        ("work", "per_side", "25", "rail_per_side_mm", 635),
        ("work", "per_side", "5cm", "rail_per_side_mm", 50),
        ("work", "per_side", "2 ft", "rail_per_side_mm", 610),
        ("work", "trim", "light", "trim", "light"),
        ("work", "srm_policy_bison", "not_applied", "srm_policy_bison", "not_applied"),
        ("work", "cutting_days", ["sun", "mon"], "cutting_days", ["mon", "sun"]),
        ("setup", "shop_name", "  Juniper   Flat ", "name", "Juniper Flat"),
        ("setup", "shop_name", "x" * 80, "name", "x" * 80),
        ("setup", "shop_name", "Caf\u00e9 \U0001f969", "name", "Caf\u00e9 \U0001f969"),
        ("setup", "zone", "America/Boise", "zone", "America/Boise"),
        ("setup", "language", "es", "language", "es"),
        ("setup", "weight_unit", "kg", "weight_unit", "kg"),
        ("setup", "kinds_used", ["bison"], "kinds_used", ["bison"]),
    ],
)
def test_what_is_kept_of_a_box(
    owner_client: Client, name: str, box: str, value: object, kept_as: str, kept: object
) -> None:
    """Worked by hand: 25 in are 635 mm; 0.45359237 dollars a pound are a dollar a kilogram."""
    assert send(owner_client, name, **{box: value}).status_code == 302
    found = getattr(shop(), kept_as)
    assert found == (pytest.approx(kept) if isinstance(kept, float) else kept)


@pytest.mark.parametrize(
    ("name", "box", "value"),
    [
        ("money", "target_margin_pct", "-0.1"),
        ("money", "target_margin_pct", "95.1"),
        ("money", "target_margin_pct", ""),
        ("money", "target_margin_pct", "nan"),
        ("money", "may_lose_pct", "0"),
        ("money", "may_lose_pct", "50.1"),
        ("money", "may_lose_pct", "inf"),
        ("money", "price_ending_cents", "-1"),
        ("money", "price_ending_cents", "9.5"),
        ("money", "overhead", "1,00"),
        ("money", "overhead", "$1000001"),
        ("money", "packing_cents_per_kg", "-1"),
        ("money", "packing_cents_per_kg", "101/kg"),
        ("money", "waste_cents_per_kg", "1/stone"),
        ("money", "waste_cents_per_kg", ""),
        ("money", "hanging_on_cents_per_kg", "1001/kg"),
        ("money", "hanging_on_cents_per_kg", "a\x00"),
        ("work", "wage", "-1"),
        ("work", "wage", "$1,000.01"),
        ("work", "wage", "x" * 10_000),
        ("work", "per_side", "4.9 cm"),
        ("work", "per_side", "501 cm"),
        ("work", "per_side", "nan"),
        ("work", "knife", "1201"),
        ("work", "saw", "nan"),
        ("work", "grinder", "-0.5"),
        ("work", "packer", "lots"),
        ("work", "trim", "bald"),
        ("work", "cutting_days", ["mon", "noday"]),
        ("setup", "shop_name", ""),
        ("setup", "shop_name", " \t "),
        ("setup", "shop_name", "x" * 81),
        ("setup", "shop_name", "x" * 10_000),
        ("setup", "shop_name", "a\x00b"),
        ("setup", "zone", "America"),
        ("setup", "zone", "../../etc/passwd"),
        ("setup", "language", "fr"),
        ("setup", "weight_unit", "g"),
        ("setup", "kinds_used", ["unicorn"]),
        ("setup", "kinds_used", []),
    ],
)
def test_what_cannot_be_is_told_by_its_box(owner_client: Client, name: str, box: str, value: object) -> None:
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    answer = send(owner_client, name, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert ShopProfile.objects.values().get() == before and AuditLine.objects.count() == lines


@pytest.mark.parametrize(
    ("unit", "per_side", "wage", "kept"), [("kg", "70", "20", (700, 2000)), ("lb", "30", "20", (762, 2000))]
)
def test_bare_numbers_are_in_the_persons_unit(
    owner_client: Client, unit: str, per_side: str, wage: str, kept: tuple[int, int]
) -> None:
    """70 cm; 30 in x 25.4 = 762 mm."""
    likes("owner", "en", unit)
    assert send(owner_client, "work", per_side=per_side, wage=wage).status_code == 302
    assert (shop().rail_per_side_mm, shop().wage_cents_per_hour) == kept


@pytest.mark.parametrize("work", ["knife", "saw", "grinder", "packer"])
@pytest.mark.parametrize(("hours", "minutes"), [("0", 0.0), ("7.5", 450.0), ("1200", 72_000.0), ("", None)])
def test_hours_become_minutes_and_empty_is_no_limit(
    owner_client: Client, work: str, hours: str, minutes: float | None
) -> None:
    assert send(owner_client, "work", **{work: hours}).status_code == 302
    assert shop().minutes_a_day.get(work) == minutes


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("0.5", 0.5),
        ("168", 168.0),
        ("", None),
        ("0.4", "error"),
        ("168.1", "error"),
        ("nan", "error"),
        ("-1", "error"),
    ],
)
def test_how_often_a_room_is_read(owner_client: Client, typed: str, kept: object) -> None:
    answer = owner_client.post(reverse("rooms"), {"name": "Annex", "log_every_hours": typed})
    if kept == "error":
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["log_every_hours"]
        assert not CoolerRoom.objects.filter(name="Annex").exists()
        return
    room = CoolerRoom.objects.get(name="Annex")
    assert room.log_every_hours == kept and answer["Location"] == reverse("add_rail", args=[room.pk])
    line = AuditLine.objects.get(what="added a room")
    assert line.after == {"name": "Annex", "log_every_hours": kept} and line.by_name == "Marta"


@pytest.mark.parametrize(
    ("unit", "typed", "length_mm"),
    [
        ("lb", "10 ft", 3048),
        ("lb", "3 m", 3000),
        ("lb", "30 cm", 300),
        ("lb", "100 m", 100_000),
        ("lb", "29 cm", None),
        ("lb", "101 m", None),
        ("lb", "-3 m", None),
        ("lb", "3 kg", None),
        ("lb", "", None),
        ("lb", "long", None),
        ("kg", "3", 3000),
        ("kg", "2,5", 2500),
        ("lb", "10", 3048),
    ],
)
def test_a_rail_as_long_as_typed(owner_client: Client, unit: str, typed: str, length_mm: int | None) -> None:
    """A foot is 304.8 mm; a bare number is feet beside pounds and metres beside kilograms."""
    likes("owner", "en", unit)
    room = CoolerRoom.objects.get(name="Dry-ageing room")
    answer = owner_client.post(reverse("add_rail", args=[room.pk]), {"name": "Annex", "length": typed})
    if length_mm is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["length"]
        assert room.rails.count() == 1
    else:
        assert answer.status_code == 302 and Rail.objects.get(name="Annex").length_mm == length_mm
        assert AuditLine.objects.get(what="added a rail").after["length_mm"] == length_mm


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("-10", -10.0), ("10", 10.0), ("", 0.0), ("-10.1", None), ("10.1", None), ("nan", None)],
)
def test_how_much_warmer_a_rail_hangs(owner_client: Client, typed: str, kept: float | None) -> None:
    rail = Rail.objects.get(name="Short rail")
    sent = {"name": rail.name, "length": "4 m", "warmer_c": typed}
    answer = owner_client.post(reverse("change_rail", args=[rail.pk]), sent)
    if kept is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["warmer_c"]
    else:
        assert Rail.objects.get(pk=rail.pk).warmer_c == kept
        line = AuditLine.objects.get(what="changed a rail")
        assert line.before["length_mm"] == 4200 and line.after["length_mm"] == 4000


@pytest.mark.parametrize("name", ["", "  ", "x" * 61, "x" * 10_000, "a\x00b", "hanging cooler"])
def test_a_room_name_that_cannot_be(owner_client: Client, name: str) -> None:
    answer = owner_client.post(reverse("rooms"), {"name": name, "log_every_hours": "12"})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == ["name"]
    assert CoolerRoom.objects.count() == 2


@pytest.mark.parametrize("name", ["\u05e7\u05e8", "\u2744\ufe0f Cold", "<b>Cold</b>", "Cold & clean"])
def test_a_room_name_is_text(owner_client: Client, name: str) -> None:
    owner_client.post(reverse("rooms"), {"name": f"  {name} ", "log_every_hours": "12"})
    assert CoolerRoom.objects.filter(name=name).exists()
    for page in ("rooms", "cooler", "rail"):
        answer = owner_client.get(reverse(page))
        assert answer.status_code == 200 and "<b>Cold" not in answer.content.decode()


@pytest.mark.parametrize("name", ["setup", "rooms", "work", "money"])
@pytest.mark.parametrize("unit", ["lb", "kg"])
def test_each_page_in_spanish(owner_client: Client, name: str, unit: str) -> None:
    likes("owner", "es", unit)
    answer = owner_client.get(reverse(name))
    text = answer.content.decode()
    assert answer.status_code == 200 and '<html lang="es"' in text
    assert all(word not in text for word in ("Cutting days", "Margin wanted", "Time zone", "Its air is read"))


@pytest.mark.parametrize("name", ["setup", "rooms", "work", "money"])
@pytest.mark.parametrize("role", ["cutter", "counter"])
def test_settings_are_not_offered_to_others(request: pytest.FixtureRequest, name: str, role: str) -> None:
    client = request.getfixturevalue(f"{role}_client")
    assert client.get(reverse(name)).status_code == 403
    assert f'href="{reverse(name)}"' not in client.get(reverse("today")).content.decode()


@pytest.mark.parametrize("name", ["setup", "rooms", "work", "money"])
def test_a_visitor_is_led_to_the_sign_in(visitor_client: Client, name: str) -> None:
    answer = visitor_client.get(reverse(name))
    assert unquote(answer["Location"]) == f"{reverse('sign_in')}?next={reverse(name)}"


@pytest.mark.parametrize("name", ["change_room", "add_rail", "change_rail"])
def test_what_is_nowhere_is_not_found(owner_client: Client, name: str) -> None:
    assert owner_client.get(reverse(name, args=[987_654])).status_code == 404
