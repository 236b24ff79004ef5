"""The owner's settings afterwards: what is kept, what is refused, what stays to the last digit."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import AuditLine, CoolerRoom, Person, Rail, ShopProfile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

MONEY = {"target_margin_pct": "30", "may_lose_pct": "20", "price_ending_cents": "99", "overhead": "$10"}


def as_shown(client: Client, name: str, **also: str) -> dict[str, object]:
    """What the page's form holds, as a browser would send it back untouched."""
    form = client.get(reverse(name)).context["form"]
    held = {field.html_name: field.value() for field in form}
    return {key: value for key, value in held.items() if value is not None} | also


def test_sending_a_page_back_untouched_changes_nothing(owner_client: Client) -> None:
    ShopProfile.objects.update(packing_cents_per_kg=12.3456, rail_per_side_mm=601)
    before, lines = ShopProfile.objects.values().get(), AuditLine.objects.count()
    for name in ("setup", "work", "money"):
        assert owner_client.post(reverse(name), as_shown(owner_client, name)).status_code == 302
    after = ShopProfile.objects.values().get()
    assert after.pop("kinds_used") == ["grain-finished", "grass-finished", "wagyu", "bison"]
    before.pop("kinds_used")
    assert after == before
    assert AuditLine.objects.count() == lines + 1, "only that the kinds are named now"


def test_a_change_is_in_the_trail_with_what_stood_before(owner_client: Client) -> None:
    sent = as_shown(owner_client, "money", target_margin_pct="41.5")
    assert owner_client.post(reverse("money"), sent)["Location"] == reverse("money")
    line = AuditLine.objects.get(what="changed the shop")
    assert line.before == {"target_margin_pct": 30.0} and line.after == {"target_margin_pct": 41.5}
    assert line.by == Person.objects.get(role="owner")


def test_only_kinds_that_come_here_are_offered(owner_client: Client) -> None:
    owner_client.post(reverse("setup"), as_shown(owner_client, "setup") | {"kinds_used": ["bison", "wagyu"]})
    offered = owner_client.get(reverse("hang_animal")).context["form"].fields["kind"].choices
    assert [slug for slug, _ in offered] == ["wagyu", "bison"]


@pytest.mark.parametrize(
    ("name", "field", "typed"),
    [
        ("money", "target_margin_pct", "96"),
        ("money", "price_ending_cents", "100"),
        ("money", "packing_cents_per_kg", "twenty"),
        ("money", "overhead", "-5"),
        ("work", "knife", "-1"),
        ("work", "per_side", "2 lb"),
        ("work", "wage", ""),
        ("work", "srm_policy_bison", "whatever"),
        ("setup", "zone", "Nowhere/Here"),
    ],
)
def test_what_cannot_be_is_refused(owner_client: Client, name: str, field: str, typed: str) -> None:
    before = ShopProfile.objects.values().get()
    answer = owner_client.post(reverse(name), as_shown(owner_client, name) | {field: typed})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [field]
    assert ShopProfile.objects.values().get() == before


def test_no_cutting_day_at_all_is_refused(owner_client: Client) -> None:
    answer = owner_client.post(reverse("work"), as_shown(owner_client, "work") | {"cutting_days": []})
    assert answer.status_code == 400 and "cutting_days" in answer.context["form"].errors


def test_a_rail_is_changed_and_its_length_stays_when_it_was_not_touched(owner_client: Client) -> None:
    rail = Rail.objects.get(name="Front rail")
    sent = {"name": "By the door", "length": "13.8 ft", "warmer_c": "1.5"}
    assert owner_client.post(reverse("change_rail", args=[rail.pk]), sent).status_code == 302
    rail.refresh_from_db()
    assert (rail.name, rail.length_mm, rail.warmer_c) == ("By the door", 4200, 1.5)
    assert (
        owner_client.post(reverse("change_rail", args=[rail.pk]), sent | {"length": "5 m"}).status_code == 302
    )
    rail.refresh_from_db()
    assert rail.length_mm == 5000


def test_rails_of_a_room_stand_in_the_order_in_which_they_came(owner_client: Client) -> None:
    room = CoolerRoom.objects.get(name="Dry-ageing room")
    for name in ("Annex", "Aisle"):
        owner_client.post(reverse("add_rail", args=[room.pk]), {"name": name, "length": "3m"})
    assert [rail.name for rail in room.rails.all()] == ["Short rail", "Annex", "Aisle"]


def test_two_rooms_or_rails_of_one_name_are_refused(owner_client: Client) -> None:
    room = CoolerRoom.objects.get(name="Dry-ageing room")
    twice = owner_client.post(reverse("add_rail", args=[room.pk]), {"name": "Short rail", "length": "3m"})
    assert twice.status_code == 400 and room.rails.count() == 1
    same = owner_client.post(reverse("rooms"), {"name": "dry-ageing ROOM"})
    assert same.status_code == 400 and CoolerRoom.objects.count() == 2


def test_a_room_without_a_log(owner_client: Client) -> None:
    room = CoolerRoom.objects.get(name="Dry-ageing room")
    owner_client.post(reverse("change_room", args=[room.pk]), {"name": room.name, "log_every_hours": ""})
    room.refresh_from_db()
    assert room.log_every_hours is None
    assert "No log is kept." in owner_client.get(reverse("rooms")).content.decode()


@pytest.mark.parametrize("name", ["setup", "rooms", "work", "money"])
def test_settings_are_the_owners(cutter_client: Client, visitor_client: Client, name: str) -> None:
    assert cutter_client.get(reverse(name)).status_code == 403
    assert visitor_client.post(reverse(name), MONEY).status_code == 302
    assert ShopProfile.objects.get().target_margin_pct == 30.0
