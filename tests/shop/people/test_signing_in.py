"""Signing in and out: right and wrong passwords, where one is led, and how many times one may try."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import Person

pytestmark = pytest.mark.django_db
WRONG = "not the password"


@pytest.fixture
def cutter(demo_shop: Any) -> dict[str, str]:
    made = next(one for one in demo_shop.sign_ins if one.role == "cutter")
    return {"username": made.name, "password": made.password}


def is_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def test_in_and_out(client: Client, cutter: dict[str, str]) -> None:
    assert client.post(reverse("sign_in"), cutter).status_code == 302
    assert is_in(client) and client.get(reverse("rail")).status_code == 200
    assert client.post(reverse("sign_out"))["Location"] == reverse("sign_in")
    assert not is_in(client) and client.get(reverse("rail")).status_code == 302


def test_capitals_do_not_matter_in_a_name(client: Client, cutter: dict[str, str]) -> None:
    client.post(reverse("sign_in"), cutter | {"username": cutter["username"].upper()})
    assert is_in(client)


def test_a_wrong_password_keeps_the_name_and_says_nothing_about_it(
    client: Client, cutter: dict[str, str]
) -> None:
    known = client.post(reverse("sign_in"), cutter | {"password": WRONG})
    unknown = client.post(reverse("sign_in"), {"username": "Nobody", "password": WRONG})
    sentence = "do not belong together"
    assert known.status_code == unknown.status_code == 400
    assert sentence in known.content.decode() and sentence in unknown.content.decode()
    assert cutter["username"] in known.content.decode() and WRONG not in known.content.decode()


def test_after_five_wrong_passwords_the_right_one_waits_too(client: Client, cutter: dict[str, str]) -> None:
    name = cutter["username"]
    tries = (name, name.lower(), name.upper(), name.swapcase(), name)
    answers = [client.post(reverse("sign_in"), {"username": one, "password": WRONG}) for one in tries]
    assert answers[-1].status_code == 429 and "quarter of an hour" in answers[-1].content.decode()
    assert client.post(reverse("sign_in"), cutter).status_code == 429 and not is_in(client)


def test_one_name_locked_does_not_lock_another(
    client: Client, demo_shop: Any, cutter: dict[str, str]
) -> None:
    for _ in range(5):
        client.post(reverse("sign_in"), cutter | {"password": WRONG})
    owner = next(one for one in demo_shop.sign_ins if one.role == "owner")
    assert (
        client.post(reverse("sign_in"), {"username": owner.name, "password": owner.password}).status_code
        == 302
    )


def test_somebody_switched_off_does_not_come_in_and_is_put_out(
    client: Client, cutter: dict[str, str]
) -> None:
    client.post(reverse("sign_in"), cutter)
    Person.objects.filter(role="cutter").update(is_active=False)
    assert client.get(reverse("rail")).status_code == 302
    assert client.post(reverse("sign_in"), cutter).status_code == 400


@pytest.mark.parametrize("next_page", ["/rail/", "/plan/?days=3"])
def test_one_is_led_where_one_wanted_to_go(client: Client, cutter: dict[str, str], next_page: str) -> None:
    asked = client.get(next_page)
    assert asked.status_code == 302
    page = client.get(asked["Location"])
    assert page.context["next"] == next_page
    assert client.post(reverse("sign_in"), cutter | {"next": next_page})["Location"] == next_page


@pytest.mark.parametrize(
    "away", ["https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)", "\\\\x"]
)
def test_nobody_is_led_out_of_the_shop(client: Client, cutter: dict[str, str], away: str) -> None:
    assert client.post(reverse("sign_in"), cutter | {"next": away})["Location"] == reverse("home")


@pytest.mark.parametrize(
    ("role", "begins"), [("owner", "today"), ("cutter", "block"), ("counter", "prices"), (None, "sign_in")]
)
def test_each_begins_at_their_own_page(demo_shop: Any, role: str | None, begins: str) -> None:
    client = Client()
    if role:
        client.force_login(demo_shop.person(role), backend="django.contrib.auth.backends.ModelBackend")
    assert client.get("/")["Location"] in (reverse(begins), reverse("plan"))


def test_a_form_without_its_token_is_refused(cutter: dict[str, str]) -> None:
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(reverse("sign_in"), cutter)
    assert answer.status_code == 403 and "open too long" in answer.content.decode()


def test_what_a_signed_in_person_sees_is_kept_by_no_cache(owner_client: Client) -> None:
    answer = owner_client.get(reverse("rail"))
    assert answer["Cache-Control"] == "no-store"
    assert "script-src 'self'" in answer["Content-Security-Policy"]
    assert "unsafe" not in answer["Content-Security-Policy"]
