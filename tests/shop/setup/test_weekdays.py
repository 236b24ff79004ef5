"""Weekdays with other hours, and days on which nothing is cut, as the owner says them on the page of limits."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import AuditLine, Person, ShopProfile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def send(client: Client, **changes: object) -> Any:
    """What the page holds, with some boxes changed, as a browser sends it."""
    form = client.get(reverse("limits")).context["form"]
    held = {field.html_name: field.value() for field in form}
    sent = {key: value for key, value in held.items() if value is not None} | changes
    return client.post(reverse("limits"), {key: value for key, value in sent.items() if value is not None})


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


@pytest.mark.parametrize(
    ("said", "minutes_on"),
    [
        ({"on-sat-knife": "4"}, {"sat": {"knife": 240.0}}),
        ({"on-mon-saw": "0.5", "on-mon-packer": "0", "on-sun-grinder": "1200"},
         {"mon": {"saw": 30.0, "packer": 0.0}, "sun": {"grinder": 72_000.0}}),
    ],
)  # fmt: skip
def test_hours_of_weekdays_are_kept_in_minutes(
    owner_client: Client, said: dict[str, str], minutes_on: dict[str, dict[str, float]]
) -> None:
    assert send(owner_client, **said).status_code == 302
    assert shop().minutes_on == minutes_on
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    assert send(owner_client).status_code == 302
    assert (ShopProfile.objects.values().get(), AuditLine.objects.count()) == (before, lines), "untouched"
    assert send(owner_client, **dict.fromkeys(said)).status_code == 302
    assert shop().minutes_on == {}


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("2026-12-25", ["2026-12-25"]),
        ("2027-01-01\r\n2026-12-25\r\n\r\n2026-12-25", ["2026-12-25", "2027-01-01"]),
        (" 2026-12-24, 2026-12-25;2026-12-26 ", ["2026-12-24", "2026-12-25", "2026-12-26"]),
    ],
)
def test_closed_days_are_kept_in_their_order_each_once(
    owner_client: Client, typed: str, kept: list[str]
) -> None:
    assert send(owner_client, closed=typed).status_code == 302
    assert shop().closed_on == kept
    form = owner_client.get(reverse("limits")).context["form"]
    assert form["closed"].value() == "\n".join(kept)
    line = AuditLine.objects.filter(what="changed the shop").latest("pk")
    assert (line.before, line.after) == ({"closed_on": []}, {"closed_on": kept})
    send(owner_client, closed="")
    assert shop().closed_on == []


@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("on-sat-knife", "-1"), ("on-sat-knife", "1201"), ("on-tue-saw", "nan"), ("on-fri-packer", "many"),
        ("closed", "2026-02-30"), ("closed", "Christmas"), ("closed", "20261225"), ("closed", "2026-W52-5"),
        ("closed", "2026-12-25\x00"), ("closed", "٢٠٢٦-١٢-٢٥"), ("closed", "9" * 5000),
        ("closed", "\n".join(f"{year}-01-01" for year in range(2026, 2427))), ("closed", "<b>"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_by_its_box(owner_client: Client, box: str, value: str) -> None:
    """Four hundred and one days are one too many."""
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    answer = send(owner_client, **{box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert ShopProfile.objects.values().get() == before and AuditLine.objects.count() == lines
    assert "<b>" not in answer.content.decode()


def test_every_day_that_is_none_is_named(owner_client: Client) -> None:
    answer = send(owner_client, closed="2026-12-25 2026-02-30 soon")
    assert "No day: 2026-02-30, soon." in answer.content.decode()
    assert answer.context["form"]["closed"].value() == "2026-12-25 2026-02-30 soon", "what was typed stays"


def test_overtime_may_go_beyond_the_hours_of_a_weekday_alone(owner_client: Client) -> None:
    """As in a week's file: what has hours on some day only can go beyond those."""
    ShopProfile.objects.update(minutes_a_day={})
    refused = send(owner_client, **{"overtime-saw": "1"})
    assert refused.status_code == 400 and list(refused.context["form"].errors) == ["overtime-saw"]
    assert send(owner_client, **{"overtime-saw": "1", "on-sat-saw": "2"}).status_code == 302
    assert shop().overtime_minutes_a_day == {"saw": 60.0} and shop().minutes_on == {"sat": {"saw": 120.0}}


def test_the_page_says_which_weekdays_are_not_cut_on_in_both_languages(owner_client: Client) -> None:
    ShopProfile.objects.update(cutting_days=["mon", "tue", "wed", "thu", "fri"])
    page = owner_client.get(reverse("limits")).content.decode()
    assert page.count("no cutting day") == 2 and "Saturday, Knife work (hours)" in page
    Person.objects.filter(role="owner").update(language="es")
    page = owner_client.get(reverse("limits")).content.decode()
    assert page.count("no es día de despiece") == 2 and "Días de la semana con otras horas" in page
    assert "Días, horas extra, mesas y congelador" in page


def test_they_are_the_owners(cutter_client: Client, counter_client: Client) -> None:
    for client in (cutter_client, counter_client):
        sent = {"on-sat-knife": "4", "closed": "2026-12-25"}
        assert client.post(reverse("limits"), sent).status_code == 403
    assert (shop().minutes_on, shop().closed_on) == ({}, [])
