"""People and what they like: every box at its edges, odd names, both languages, the trail, an empty shop."""

from __future__ import annotations

from typing import Any
from urllib.parse import unquote

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gambrel.shop import first_start
from gambrel.shop.records.models import AuditLine, Person

pytestmark = pytest.mark.django_db
SHOP = {"shop_name": "Juniper Flat", "zone": "America/Denver", "language": "es", "weight_unit": "kg",
        "owner": "Odalys", "password": "a hook and a rail", "again": "a hook and a rail"}  # fmt: skip
PASSWORD = "salt and string"


def likes(role: str, language: str, unit: str) -> None:
    Person.objects.filter(role=role).update(language=language, weight_unit=unit)


def take_on(client: Client, **changes: str) -> Any:
    said = {"name": "Ilse Brandt", "role": "counter", "password": PASSWORD} | changes
    return client.post(reverse("people"), said)


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("name", "kept"),
    [
        ("x" * 60, "x" * 60),
        ("A", "A"),
        ("  Ilse   Brandt ", "Ilse Brandt"),
        ("Ilse\tBrandt", "Ilse Brandt"),
        ("Zo\u00eb \U0001f52a", "Zo\u00eb \U0001f52a"),
        ("\u0646\u0648\u0631", "\u0646\u0648\u0631"),
        ("<b>Ilse</b>", "<b>Ilse</b>"),
        ("O'Hara; --", "O'Hara; --"),
    ],
    ids=["longest", "shortest", "spaces", "tab", "emoji", "right to left", "a tag", "a quote"],
)
def test_a_name_of_any_kind_may_sign_in(owner_client: Client, name: str, kept: str) -> None:
    assert take_on(owner_client, name=name).status_code == 302
    made = Person.objects.latest("pk")
    assert (made.name, made.role, made.is_active) == (kept, "counter", True)
    text = owner_client.get(reverse("people")).content.decode()
    assert reverse("person", args=[made.pk]) in text and "<b>Ilse" not in text
    own = Client()
    assert own.post(reverse("sign_in"), {"username": kept, "password": PASSWORD}).status_code == 302
    assert own.get(reverse("today")).status_code == 200


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("name", ""),
        ("name", "   "),
        ("name", "x" * 61),
        ("name", "x" * 10_000),
        ("name", "a\x00b"),
        ("name", "Marta"),
        ("name", "MARTA"),
        ("name", " marta "),
        ("role", ""),
        ("role", "visitor"),
        ("role", "Owner"),
        ("role", "a\x00"),
        ("password", ""),
        ("password", "9 letters"),
        ("password", "password12"),
        ("password", "31415926535"),
        ("password", "x" * 201),
        ("password", "a long one\x00"),
    ],
)
def test_who_cannot_be_taken_on_is_told_by_the_box(owner_client: Client, box: str, value: str) -> None:
    before, lines = Person.objects.count(), AuditLine.objects.count()
    answer = take_on(owner_client, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert (Person.objects.count(), AuditLine.objects.count()) == (before, lines)
    assert PASSWORD not in answer.content.decode(), "a password is never sent back"


@pytest.mark.usefixtures("demo_shop")
def test_all_slips_are_told_at_once(owner_client: Client) -> None:
    answer = take_on(owner_client, name="", role="king", password="short")
    assert set(answer.context["form"].errors) == {"name", "role", "password"}


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("role", ["owner", "cutter", "counter"])
def test_each_role_is_taken_on_with_a_line(owner_client: Client, role: str) -> None:
    assert take_on(owner_client, role=role).status_code == 302
    made = Person.objects.get(name="Ilse Brandt")
    line = AuditLine.objects.get(what="took on")
    assert line.after == {"name": "Ilse Brandt", "role": role} and line.record_id == str(made.pk)
    assert line.by_name == "Marta" and line.before is None


@pytest.mark.usefixtures("demo_shop")
def test_somebody_switched_off_is_out_at_once_and_may_come_back(
    owner_client: Client, cutter_client: Client
) -> None:
    cutter = Person.objects.get(role="cutter")
    address = reverse("person", args=[cutter.pk])
    assert cutter_client.get(reverse("rail")).status_code == 200
    assert owner_client.post(address, {"role": "cutter"}).status_code == 302
    assert cutter_client.get(reverse("rail")).status_code == 302, "no page opens any more"
    assert owner_client.post(address, {"role": "cutter", "is_active": "on"}).status_code == 302
    lines = AuditLine.objects.filter(what="changed a person").order_by("pk")
    assert [(line.before["is_active"], line.after["is_active"]) for line in lines] == [
        (True, False),
        (False, True),
    ]
    assert not any(line.after["new_password"] for line in lines)


@pytest.mark.usefixtures("demo_shop")
def test_an_empty_password_keeps_the_old_one(owner_client: Client) -> None:
    cutter = Person.objects.get(role="cutter")
    before = cutter.password
    owner_client.post(
        reverse("person", args=[cutter.pk]), {"role": "counter", "is_active": "on", "password": ""}
    )
    cutter.refresh_from_db()
    assert (cutter.password, cutter.role) == (before, "counter")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("password", ["short", "teodoro", "1234567890", "x" * 201, "a long one\x00"])
def test_a_weak_new_password_changes_nothing(owner_client: Client, password: str) -> None:
    cutter = Person.objects.get(role="cutter")
    sent = {"role": "owner", "is_active": "on", "password": password}
    answer = owner_client.post(reverse("person", args=[cutter.pk]), sent)
    assert answer.status_code == 400 and list(answer.context["form"].errors) == ["password"]
    again = Person.objects.get(pk=cutter.pk)
    assert (again.role, again.password) == ("cutter", cutter.password)


@pytest.mark.usefixtures("demo_shop")
def test_of_two_owners_one_may_go(owner_client: Client) -> None:
    take_on(owner_client, role="owner")
    first = Person.objects.get(name="Marta")
    assert (
        owner_client.post(
            reverse("person", args=[first.pk]), {"role": "cutter", "is_active": "on"}
        ).status_code
        == 302
    )
    assert list(Person.objects.filter(role="owner").values_list("name", flat=True)) == ["Ilse Brandt"]
    assert owner_client.get(reverse("people")).status_code == 403, "a cutter now"


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("sent", "box"),
    [
        ({"language": "fr", "weight_unit": "kg", "theme": "auto"}, "language"),
        ({"language": "", "weight_unit": "kg", "theme": "auto"}, "language"),
        ({"language": "es", "weight_unit": "stone", "theme": "auto"}, "weight_unit"),
        ({"language": "es", "weight_unit": "KG", "theme": "auto"}, "weight_unit"),
        ({"language": "es", "weight_unit": "kg", "theme": "pink"}, "theme"),
        ({"language": "es", "weight_unit": "kg", "theme": "a\x00"}, "theme"),
        ({"language": "es", "weight_unit": "kg", "theme": "x" * 10_000}, "theme"),
        ({"language": "es", "weight_unit": "kg"}, "theme"),
    ],
)
def test_a_liking_that_is_none(counter_client: Client, sent: dict[str, str], box: str) -> None:
    answer = counter_client.post(reverse("preferences"), sent)
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    counter = Person.objects.get(role="counter")
    assert (counter.language, counter.weight_unit) == ("en", "lb")


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize("unit", ["lb", "kg"])
@pytest.mark.parametrize("theme", ["auto", "light", "dark"])
def test_every_liking_is_kept_and_shown(counter_client: Client, language: str, unit: str, theme: str) -> None:
    sent, lines = {"language": language, "weight_unit": unit, "theme": theme}, AuditLine.objects.count()
    answer = counter_client.post(reverse("preferences"), sent)
    assert answer["Location"] == reverse("preferences")
    assert {name: answer.cookies[name].value for name in ("theme",)} == {"theme": theme}
    page = counter_client.get(reverse("preferences"))
    assert f'<html lang="{language}" data-theme="{theme}">' in page.content.decode()
    assert page.context["form"]["weight_unit"].value() == unit
    assert AuditLine.objects.count() == lines, "what somebody likes to read is nobody's business"


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("language", "words"), [("en", ("People", "Somebody new")), ("es", ("Nombre", "sí"))]
)
def test_the_page_in_its_language(owner_client: Client, language: str, words: tuple[str, str]) -> None:
    likes("owner", language, "kg")
    text = owner_client.get(reverse("people")).content.decode()
    assert f'<html lang="{language}"' in text and all(word in text for word in words)
    assert ("Somebody new" in text) == (language == "en")


@pytest.mark.usefixtures("demo_shop")
def test_everybody_stands_in_a_table_with_heads(owner_client: Client) -> None:
    text = owner_client.get(reverse("people")).content.decode()
    assert 'role="region" aria-labelledby="people-head"' in text
    assert text.count('scope="col"') == 4 and text.count('scope="row"') == Person.objects.count() == 3
    for one in Person.objects.all():
        address = reverse("person", args=[one.pk])
        assert f'href="{address}"' in text
        assert one.name in owner_client.get(address).content.decode()


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("role", ["cutter", "counter"])
def test_nobody_else_opens_the_pages_of_people(request: pytest.FixtureRequest, role: str) -> None:
    client = request.getfixturevalue(f"{role}_client")
    assert client.get(reverse("people")).status_code == 403
    assert client.get(reverse("person", args=[Person.objects.get(role=role).pk])).status_code == 403
    assert reverse("people") not in client.get(reverse("today")).content.decode()


@pytest.mark.usefixtures("demo_shop")
def test_a_visitor_is_led_to_the_sign_in(visitor_client: Client) -> None:
    answer = visitor_client.get(reverse("people"))
    assert unquote(answer["Location"]) == f"{reverse('sign_in')}?next={reverse('people')}"


@pytest.mark.usefixtures("demo_shop")
def test_a_person_who_is_nowhere(owner_client: Client) -> None:
    assert owner_client.get(reverse("person", args=[987_654])).status_code == 404
    assert owner_client.post(reverse("person", args=[987_654]), {"role": "owner"}).status_code == 404


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    ("goes_to", "led_to"),
    [
        ("/rail/", "/rail/"),
        ("/orders/?x=1", "/orders/?x=1"),
        ("", "/"),
        ("https://elsewhere.example/", "/"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example", "/"),
        ("javascript:alert(1)", "/"),
        ("http:///elsewhere.example", "/"),
    ],
)
def test_where_a_sign_in_leads(owner_client: Client, goes_to: str, led_to: str) -> None:
    """Never out of the shop, whatever the link said."""
    take_on(owner_client)
    sent = {"username": "Ilse Brandt", "password": PASSWORD, "next": goes_to}
    assert Client().post(reverse("sign_in"), sent)["Location"] == led_to


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize(
    "sent",
    [
        {},
        {"username": "Marta"},
        {"password": PASSWORD},
        {"username": "Marta", "password": "wrong"},
        {"username": "Nobody", "password": PASSWORD},
        {"username": "x" * 10_000, "password": PASSWORD},
        {"username": "Mar\x00ta", "password": PASSWORD},
        {"username": "\u202eMarta", "password": "\U0001f969" * 20},
        {"username": "' OR 1=1 --", "password": "' OR 1=1 --"},
    ],
)
def test_who_does_not_get_in(visitor_client: Client, sent: dict[str, str]) -> None:
    answer = visitor_client.post(reverse("sign_in"), sent)
    assert answer.status_code == 400 and answer.context["form"].errors
    assert visitor_client.get(reverse("today")).status_code == 302


@pytest.mark.usefixtures("empty_shop")
def test_the_first_person_taken_on_reads_as_the_shop_does(client: Client) -> None:
    client.post(reverse("make_shop"), SHOP | {"code": first_start.code(settings.PLACE.folder)})
    assert take_on(client).status_code == 302
    made = Person.objects.get(name="Ilse Brandt")
    assert (made.language, made.weight_unit) == ("es", "kg")
