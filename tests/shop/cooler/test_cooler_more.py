"""The cooler's boxes at their edges, in both languages and units, sent twice, with odd texts, and in an empty shop."""

from __future__ import annotations

import uuid
from typing import Any
from urllib.parse import unquote

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gambrel.shop import first_start
from gambrel.shop.clock import now
from gambrel.shop.records.models import AuditLine, CoolerReading, CoolerRoom, Person
from gambrel.shop.records.services.cooler import read_room

pytestmark = pytest.mark.django_db
AT = "2026-03-09T09:00"
SHOP = {"shop_name": "Juniper Flat", "zone": "America/Denver", "language": "en", "weight_unit": "lb",
        "owner": "Odalys", "password": "a hook and a rail", "again": "a hook and a rail"}  # fmt: skip


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def first_room() -> CoolerRoom:
    return CoolerRoom.objects.get(name="Hanging cooler")


def send(client: Client, **typed: str) -> Any:
    return client.post(reverse("read_cooler", args=[first_room().pk]), {"at": AT, **typed})


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "typed", "air_c"),
    [
        ("lb", "32", 0.0),
        ("lb", "212 F", None),
        ("lb", "140F", 60.0),
        ("lb", "-40F", -40.0),
        ("lb", "-40", -40.0),
        ("lb", "-41", None),
        ("lb", "141F", None),
        ("lb", "2.5C", 2.5),
        ("lb", "2,5C", 2.5),
        ("lb", "50", 10.0),
        ("kg", "2.5", 2.5),
        ("kg", "2,5", 2.5),
        ("kg", "60", 60.0),
        ("kg", "60.1", None),
        ("kg", "-40", -40.0),
        ("kg", "-40.1", None),
        ("kg", "41F", 5.0),
        ("kg", "5 kg", None),
        ("kg", "warm", None),
        ("kg", "nan", None),
        ("kg", "inf", None),
        ("kg", "1e400", None),
        ("kg", "2 3", None),
    ],
)
def test_a_temperature_as_typed(owner_client: Client, unit: str, typed: str, air_c: float | None) -> None:
    """C = (F - 32) x 5/9, worked by hand; a bare number is F beside pounds and C beside kilograms."""
    likes("owner", "en", unit)
    before = CoolerReading.objects.count()
    answer = send(owner_client, air_c=typed)
    if air_c is None:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["air_c"]
        assert CoolerReading.objects.count() == before
        assert f'value="{typed}"' in answer.content.decode(), "what was typed is still there"
    else:
        assert answer.status_code == 302
        assert CoolerReading.objects.latest("pk").air_c == pytest.approx(air_c, abs=1e-6)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("box", ["air_c", "carcass_c", "deep_c"])
def test_each_probe_has_its_own_column(owner_client: Client, box: str) -> None:
    assert send(owner_client, **{box: "50F"}).status_code == 302
    line = CoolerReading.objects.latest("pk")
    figures = {name: getattr(line, name) for name in ("air_c", "carcass_c", "deep_c")}
    assert figures.pop(box) == pytest.approx(10.0) and set(figures.values()) == {None}


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("0", 0.0),
        ("100", 100.0),
        ("84.5", 84.5),
        ("100.1", None),
        ("-0.1", None),
        ("wet", None),
        ("nan", None),
    ],
)
def test_humidity_as_typed(owner_client: Client, typed: str, kept: float | None) -> None:
    answer = send(owner_client, humidity_pct=typed)
    if kept is None:
        assert list(answer.context["form"].errors) == ["humidity_pct"]
    else:
        assert CoolerReading.objects.latest("pk").humidity_pct == kept


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("at", "is_kept"),
    [
        ("2026-03-09T09:30", True),  # this minute
        ("2026-03-09T09:30:00", True),
        ("2026-03-09T09:31", False),  # a minute to come
        ("2026-03-10T00:00", False),
        ("2026-02-29T08:00", False),  # no such day
        ("2026-03-09", True),  # a day alone is its midnight
        ("yesterday", False),
        ("", False),
    ],
)
def test_when_a_reading_may_be_of(owner_client: Client, at: str, is_kept: bool) -> None:
    answer = send(owner_client, air_c="36F", at=at)
    assert answer.status_code == (302 if is_kept else 400)
    if not is_kept:
        assert list(answer.context["form"].errors) == ["at"]


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("note", "is_kept"),
    [
        ("x" * 200, True),
        ("x" * 201, False),
        ("x" * 10_000, False),
        ("door \U0001f6aa stood open", True),
        ("\u0628\u0627\u0631\u062f", True),
        ("a\x00b", False),
        ("<script>alert(1)</script>", True),
    ],
    ids=["longest", "one too long", "ten thousand", "emoji", "right to left", "nul", "a tag"],
)
def test_a_note_of_any_kind(owner_client: Client, note: str, is_kept: bool) -> None:
    answer = send(owner_client, air_c="36F", note=note)
    if not is_kept:
        assert answer.status_code == 400 and list(answer.context["form"].errors) == ["note"]
        return
    assert answer.status_code == 302 and CoolerReading.objects.latest("pk").note == note
    assert "<script>alert" not in owner_client.get(reverse("cooler")).content.decode()


@pytest.mark.usefixtures("demo_shop")
def test_the_same_key_with_another_figure_keeps_the_first(owner_client: Client) -> None:
    key, before = str(uuid.uuid4()), CoolerReading.objects.count()
    for typed in ("36F", "41F"):
        assert send(owner_client, air_c=typed, key=key).status_code == 302
    assert CoolerReading.objects.count() == before + 1
    assert CoolerReading.objects.get(key=key).air_c == pytest.approx(20 / 9)


@pytest.mark.usefixtures("demo_shop")
def test_each_form_brings_a_key_of_its_own(owner_client: Client) -> None:
    address = reverse("read_cooler", args=[first_room().pk])
    keys = {str(owner_client.get(address).context["form"]["key"].value()) for _ in range(3)}
    assert len(keys) == 3 and all(uuid.UUID(key) for key in keys)


@pytest.mark.usefixtures("demo_shop")
def test_a_line_is_taken_out_by_empty_figures(owner_client: Client) -> None:
    wrong = read_room(first_room(), at=now(), by=None, air_c=31.5)
    address = reverse("correct_reading", args=[wrong.pk])
    assert owner_client.post(address, {"at": AT, "note": "of the yard"}).status_code == 302
    line = AuditLine.objects.get(what="put a reading right")
    assert (line.before["air_c"], line.after["air_c"], line.why) == (31.5, None, "of the yard")
    assert line.by == Person.objects.get(role="owner") and line.record_id == str(first_room().pk)
    assert "31.5" not in owner_client.get(reverse("cooler")).content.decode()
    assert CoolerReading.objects.filter(pk=wrong.pk).exists(), "the old line stays to be seen"


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("unit", "first", "beside"), [("lb", "50", "10.0"), ("kg", "10.0", "50")], ids=["pounds", "kilograms"]
)
def test_a_temperature_on_the_page(owner_client: Client, unit: str, first: str, beside: str) -> None:
    likes("owner", "en", unit)
    read_room(first_room(), at=now(), by=None, carcass_c=10.0)
    text = owner_client.get(reverse("cooler")).content.decode()
    assert f"{first} °" in text or f"{first}\u00a0°" in text
    assert f"{beside} °" in text or f"{beside}\u00a0°" in text


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("language", "heading", "word"), [("es", "Cámara fría", "Humedad"), ("en", "Cooler", "Humidity")]
)
def test_the_page_in_its_language(owner_client: Client, language: str, heading: str, word: str) -> None:
    likes("owner", language, "kg")
    text = owner_client.get(reverse("cooler")).content.decode()
    assert f"<h1>{heading}</h1>" in text and word in text and f'<html lang="{language}"' in text


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({}, "Teclee al menos una cifra"),
        ({"air_c": "2C", "at": "2026-03-10T09:00"}, "por venir"),
    ],
)
def test_a_slip_is_told_in_spanish(cutter_client: Client, typed: dict[str, str], said: str) -> None:
    assert said in send(cutter_client, **typed).content.decode()


@pytest.mark.usefixtures("demo_shop")
def test_every_table_has_heads_and_stands_in_a_named_region(owner_client: Client) -> None:
    text = owner_client.get(reverse("cooler")).content.decode()
    assert text.count("<table") == text.count("<thead") == CoolerRoom.objects.count()
    assert text.count('scope="col"') == 8 * CoolerRoom.objects.count()
    assert f'role="region" aria-label="{first_room().name}"' in text


@pytest.mark.usefixtures("demo_shop")
def test_the_counter_is_not_offered_to_put_a_line_right(owner_client: Client, counter_client: Client) -> None:
    address = reverse("correct_reading", args=[CoolerReading.objects.latest("at").pk])
    assert address in owner_client.get(reverse("cooler")).content.decode()
    assert address not in counter_client.get(reverse("cooler")).content.decode()
    assert counter_client.post(address, {"at": AT, "note": "no"}).status_code == 403


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["cooler", "read_cooler", "correct_reading", "cooler_log"])
def test_a_visitor_is_led_to_the_sign_in_and_back(visitor_client: Client, name: str) -> None:
    args = {"cooler": [], "correct_reading": [CoolerReading.objects.latest("pk").pk]}
    address = reverse(name, args=args.get(name, [first_room().pk]))
    answer = visitor_client.get(address)
    assert answer.status_code == 302 and answer["Location"].startswith(reverse("sign_in"))
    assert unquote(answer["Location"]).endswith(f"?next={address}")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["read_cooler", "correct_reading", "cooler_log"])
def test_a_number_that_is_nowhere_is_not_found(owner_client: Client, name: str) -> None:
    assert owner_client.get(reverse(name, args=[987_654])).status_code == 404


@pytest.mark.usefixtures("empty_shop")
def test_a_shop_without_rooms_says_who_adds_them(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    text = client.get(reverse("cooler")).content.decode()
    assert "No cooler room is in the records yet" in text and "<table" not in text


@pytest.mark.usefixtures("empty_shop")
def test_a_room_that_was_never_read_is_due(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    client.post(reverse("rooms"), {"name": "Cold & clean", "log_every_hours": "12"})
    text = client.get(reverse("cooler")).content.decode()
    assert "Not read in the last days." in text and "a reading is due" in text
    assert "Cold &amp; clean" in text, "a name is text, never markup"
