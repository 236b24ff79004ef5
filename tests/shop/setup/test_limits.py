"""Overtime, blocks and the freezer as the owner says them: what is kept, what is refused, in both units."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import AuditLine, Person, ShopProfile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def send(client: Client, name: str = "limits", **changes: object) -> Any:
    """What the page holds, with some boxes changed, as a browser sends it."""
    form = client.get(reverse(name)).context["form"]
    held = {field.html_name: field.value() for field in form}
    sent = {key: value for key, value in held.items() if value is not None} | changes
    return client.post(reverse(name), {key: value for key, value in sent.items() if value is not None})


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


def test_a_shop_that_says_nothing_has_empty_boxes_and_stays_as_it_is(owner_client: Client) -> None:
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    form = owner_client.get(reverse("limits")).context["form"]
    assert [field.html_name for field in form if field.value() is not None] == []
    assert send(owner_client).status_code == 302
    assert ShopProfile.objects.values().get() == before and AuditLine.objects.count() == lines


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ({"overtime-knife": "2"}, {"overtime_minutes_a_day": {"knife": 120.0}}),
        ({"overtime-saw": "0.5", "overtime-packer": "0"}, {"overtime_minutes_a_day": {"saw": 30.0}}),
        ({"overtime_wage": "$41.50"}, {"overtime_cents_per_hour": 4150}),
        ({"overtime_wage": "22"}, {"overtime_cents_per_hour": 2200}),
        ({"places-knife": "3", "places-saw": "0", "open_hours": "10"},
         {"at_once": {"knife": 3, "saw": 0}, "open_min": 600.0}),
        ({"open_hours": "9.5"}, {"open_min": 570.0, "at_once": {}}),
        ({"freezer_holds": "900 lb"}, {"freezer_holds_kg": 408.233}),
        ({"freezer_holds": "900"}, {"freezer_holds_kg": 408.233}),
        ({"freezer_holds": "0 kg"}, {"freezer_holds_kg": 0.0}),
        ({"freezer_cost": "0.45359237"}, {"freezer_cost_cents_per_kg": 100.0}),
        ({"freezer_cost": "$0.25/kg"}, {"freezer_cost_cents_per_kg": 25.0}),
    ],
)  # fmt: skip
def test_what_is_kept(owner_client: Client, said: dict[str, str], kept: dict[str, Any]) -> None:
    """Worked by hand: 900 lb x 0.45359237 = 408.233 kg; $0.45359237 a pound is a dollar a kilogram. Wage: $22.00."""
    ShopProfile.objects.update(wage_cents_per_hour=2200)
    assert send(owner_client, **said).status_code == 302
    found = shop()
    for name, value in kept.items():
        assert getattr(found, name) == (pytest.approx(value) if isinstance(value, float) else value), name


def test_what_was_said_is_shown_again_and_can_be_taken_back(owner_client: Client) -> None:
    said = {"overtime-knife": "1.5", "overtime_wage": "40", "places-knife": "2", "open_hours": "8",
            "freezer_holds": "333.333 kg", "freezer_cost": "0.37/kg"}  # fmt: skip
    send(owner_client, **said)
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    assert send(owner_client).status_code == 302
    assert ShopProfile.objects.values().get() == before, "sent back untouched it stays to the last digit"
    assert AuditLine.objects.count() == lines
    send(owner_client, **dict.fromkeys(said))
    found = shop()
    assert (found.overtime_minutes_a_day, found.overtime_cents_per_hour, found.at_once) == ({}, None, {})
    assert (found.open_min, found.freezer_holds_kg, found.freezer_cost_cents_per_kg) == (None, None, 0.0)


def test_a_change_is_in_the_trail_with_what_stood_before(owner_client: Client) -> None:
    send(owner_client, **{"overtime-knife": "1"})
    send(owner_client, **{"overtime-knife": "2"})
    line = AuditLine.objects.filter(what="changed the shop").latest("pk")
    assert line.before == {"overtime_minutes_a_day": {"knife": 60.0}}
    assert line.after == {"overtime_minutes_a_day": {"knife": 120.0}}
    assert line.by == Person.objects.get(role="owner")


@pytest.mark.parametrize(
    ("box", "value"),
    [
        ("overtime_wage", "$5.00"), ("overtime_wage", "$1,000.01"), ("overtime_wage", "much"),
        ("overtime-knife", "-1"), ("overtime-knife", "1201"), ("overtime-packer", "nan"),
        ("places-knife", "1.5"), ("places-saw", "-1"), ("places-saw", "501"),
        ("open_hours", "0"), ("open_hours", "24.5"), ("open_hours", "inf"),
        ("freezer_holds", "-1 kg"), ("freezer_holds", "3 in"), ("freezer_holds", "a\x00"),
        ("freezer_cost", "-1"), ("freezer_cost", "101/kg"), ("freezer_cost", "1/stone"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_told_by_its_box(owner_client: Client, box: str, value: str) -> None:
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    also = {"open_hours": "8"} if box.startswith("places") else {}
    answer = send(owner_client, **{**also, box: value})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [box]
    assert ShopProfile.objects.values().get() == before and AuditLine.objects.count() == lines


def test_everything_that_is_wrong_is_told_at_once(owner_client: Client) -> None:
    """A wage below the hour, overtime of work without hours, blocks in a room that is never open, a bad weight."""
    ShopProfile.objects.update(minutes_a_day={"saw": 120.0})
    answer = send(owner_client, overtime_wage="1", freezer_holds="heavy",
                  **{"overtime-knife": "1", "overtime-saw": "1", "places-knife": "2"})  # fmt: skip
    assert answer.status_code == 400
    assert set(answer.context["form"].errors) == {
        "overtime_wage",
        "overtime-knife",
        "open_hours",
        "freezer_holds",
    }


def test_the_wage_cannot_pass_the_overtime_wage(owner_client: Client) -> None:
    send(owner_client, overtime_wage="40")
    answer = send(owner_client, "work", wage="40.01")
    assert answer.status_code == 400 and list(answer.context["form"].errors) == ["wage"]
    assert "$40.00" in answer.content.decode()
    assert send(owner_client, "work", wage="40").status_code == 302


def test_boxes_say_their_unit_in_the_persons_own(owner_client: Client) -> None:
    page = owner_client.get(reverse("limits")).content.decode()
    assert "a bare number is taken as lb" in page and "a bare number is taken as /lb" in page
    Person.objects.filter(role="owner").update(weight_unit="kg", language="es")
    page = owner_client.get(reverse("limits")).content.decode()
    assert "Horas extra, mesas y congelador" in page and "En el congelador caben" in page
    assert send(owner_client, freezer_holds="250", freezer_cost="0.5").status_code == 302
    assert (shop().freezer_holds_kg, shop().freezer_cost_cents_per_kg) == (250.0, 50.0)


def test_the_usual_overtime_wage_is_told(owner_client: Client) -> None:
    """One and a half of $24.00."""
    ShopProfile.objects.update(wage_cents_per_hour=2400)
    assert "one and a half of the wage, $36.00" in owner_client.get(reverse("limits")).content.decode()


def test_they_are_the_owners_and_stand_among_the_settings(
    owner_client: Client, cutter_client: Client, counter_client: Client, visitor_client: Client
) -> None:
    assert reverse("limits") in owner_client.get(reverse("work")).content.decode()
    for client, status in ((cutter_client, 403), (counter_client, 403), (visitor_client, 302)):
        assert client.get(reverse("limits")).status_code == status
        assert client.post(reverse("limits"), {"overtime-knife": "5"}).status_code == status
    assert shop().overtime_minutes_a_day == {}
