"""People of the shop: taken on, changed, switched off; and what each likes to read."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import AuditLine, Person

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]
NEW = {"name": "Ilse  Brandt", "role": "counter", "password": "salt and string"}


def one(role: str) -> Person:
    return Person.objects.get(role=role)


def change(client: Client, person: Person, **said: str) -> int:
    sent = {"role": person.role, "is_active": "on", "password": ""} | said
    return client.post(
        reverse("person", args=[person.pk]), {key: value for key, value in sent.items() if value}
    ).status_code


def test_the_owner_takes_somebody_on(owner_client: Client) -> None:
    assert owner_client.post(reverse("people"), NEW).status_code == 302
    made = Person.objects.get(name="Ilse Brandt")
    assert made.role == "counter" and made.check_password("salt and string")
    assert "salt" not in str(AuditLine.objects.get(what="took on").after)


@pytest.mark.parametrize(
    ("wrong", "field"),
    [({"name": "marta"}, "name"), ({"password": "short"}, "password"), ({"password": "1234567890"}, "password"),
     ({"role": "king"}, "role"), ({"name": "x" * 61}, "name")],
)  # fmt: skip
def test_who_cannot_be_taken_on(owner_client: Client, wrong: dict[str, str], field: str) -> None:
    before = Person.objects.count()
    answer = owner_client.post(reverse("people"), NEW | wrong)
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [field]
    assert Person.objects.count() == before


def test_a_new_password_ends_the_sessions_of_the_old_one(owner_client: Client, cutter_client: Client) -> None:
    assert cutter_client.get(reverse("rail")).status_code == 200
    assert change(owner_client, one("cutter"), password="another long one") == 302
    assert cutter_client.get(reverse("rail")).status_code == 302


def test_the_owner_stays_in_with_a_new_password_of_their_own(owner_client: Client) -> None:
    assert change(owner_client, one("owner"), password="another long one") == 302
    assert owner_client.get(reverse("people")).status_code == 200


def test_somebody_else_may_do_another_job(owner_client: Client) -> None:
    cutter = one("cutter")
    assert change(owner_client, cutter, role="owner") == 302
    cutter.refresh_from_db()
    assert cutter.role == "owner"
    line = AuditLine.objects.get(what="changed a person")
    assert line.before == {"role": "cutter", "is_active": True}


@pytest.mark.parametrize("said", [{"role": "cutter"}, {"is_active": ""}])
def test_the_last_owner_stays(owner_client: Client, said: dict[str, str]) -> None:
    assert change(owner_client, one("owner"), **said) == 400
    assert one("owner").is_active


@pytest.mark.parametrize("client_name", ["cutter_client", "counter_client", "visitor_client"])
def test_nobody_else_changes_people(request: pytest.FixtureRequest, client_name: str) -> None:
    client = request.getfixturevalue(client_name)
    assert client.post(reverse("people"), NEW).status_code in (302, 403)
    assert change(client, one("cutter"), role="owner") in (302, 403)
    assert Person.objects.filter(role="owner").count() == 1 and not Person.objects.filter(
        name__startswith="Ilse"
    )


def test_what_a_person_likes_is_kept_with_the_person(cutter_client: Client) -> None:
    said = {"language": "es", "weight_unit": "kg", "theme": "dark"}
    assert cutter_client.post(reverse("preferences"), said).status_code == 302
    cutter = one("cutter")
    assert (cutter.language, cutter.weight_unit, cutter.theme) == ("es", "kg", "dark")
    text = cutter_client.get(reverse("rail")).content.decode()
    assert '<html lang="es" data-theme="dark">' in text


def test_a_visitor_likes_by_cookie(visitor_client: Client) -> None:
    visitor_client.post(reverse("preferences"), {"language": "es", "weight_unit": "kg", "theme": "light"})
    text = visitor_client.get(reverse("sign_in")).content.decode()
    assert '<html lang="es" data-theme="light">' in text and "Contraseña" in text


def test_a_cookie_that_says_nonsense_is_passed_over(visitor_client: Client) -> None:
    visitor_client.cookies["language"], visitor_client.cookies["theme"] = "xx", '"><script>'
    text = visitor_client.get(reverse("sign_in")).content.decode()
    assert '<html lang="en" data-theme="auto">' in text and "<script>" not in text
