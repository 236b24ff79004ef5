"""A first start on an empty folder: everything leads to making the shop, once, and then through its parts."""

from __future__ import annotations

import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.shop import first_start
from gambrel.shop.records.models import AuditLine, CoolerRoom, Person, Rail, ShopProfile
from gambrel.shop.records.services.shop import make_shop

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("empty_shop")]

SAID = {"shop_name": "  Juniper   Flat  ", "zone": "America/Boise", "language": "en", "weight_unit": "lb",
        "owner": "Odalys", "password": "a hook and a rail", "again": "a hook and a rail"}  # fmt: skip


def said() -> dict[str, str]:
    """What is typed, with the code as it was printed."""
    return SAID | {"code": first_start.code(settings.PLACE.folder)}


def changed(**other: str) -> dict[str, str]:
    return said() | other


@pytest.mark.parametrize("address", ["/", "/sign-in/", "/rail/", "/setup/", "/people/", "/side-by-side/"])
def test_every_page_leads_to_making_the_shop(client: Client, address: str) -> None:
    answer = client.get(address)
    assert answer.status_code == 302 and answer["Location"] == reverse("make_shop")


@pytest.mark.parametrize("name", ["make_shop", "preferences", "manifest", "worker", "offline"])
def test_what_is_needed_before_there_is_a_shop_opens(client: Client, name: str) -> None:
    assert client.get(reverse(name)).status_code == 200


def test_the_owner_is_led_from_the_shop_to_its_people(client: Client) -> None:
    assert client.post(reverse("make_shop"), said())["Location"] == reverse("rooms")
    shop, owner = ShopProfile.objects.get(), Person.objects.get()
    assert (shop.name, shop.zone, owner.name, owner.role) == (
        "Juniper Flat",
        "America/Boise",
        "Odalys",
        "owner",
    )
    assert owner.check_password("a hook and a rail")
    assert "password" not in str(AuditLine.objects.get(what="made the shop").after)

    to_rail = client.post(reverse("rooms"), {"name": "Hanging cooler", "log_every_hours": "12"})["Location"]
    assert client.post(to_rail, {"name": "Front", "length": "14"})["Location"] == reverse("rooms")
    rail = Rail.objects.get()
    assert (rail.room.name, rail.length_mm, rail.warmer_c) == ("Hanging cooler", 4267, 0.0), (
        "14 ft are 4267 mm"
    )
    assert reverse("work") in client.get(reverse("rooms")).content.decode(), "the next part is named"

    hours = {"begun": "yes", "cutting_days": ["tue", "fri"], "wage": "26.50", "per_side": "2ft", "trim": "close",
             "srm_policy_bison": "as_cattle", "knife": "12", "saw": "2.5"}  # fmt: skip
    assert client.post(reverse("work"), hours)["Location"] == reverse("money")
    shop.refresh_from_db()
    assert shop.cutting_days == ["tue", "fri"] and shop.minutes_a_day == {"knife": 720.0, "saw": 150.0}
    assert (shop.wage_cents_per_hour, shop.rail_per_side_mm) == (2650, 610)

    money = {"begun": "yes", "target_margin_pct": "35", "may_lose_pct": "10", "price_ending_cents": "49",
             "overhead": "$40", "packing_cents_per_kg": "0.20", "waste_cents_per_kg": "0",
             "hanging_on_cents_per_kg": "$2/lb"}  # fmt: skip
    assert client.post(reverse("money"), money)["Location"] == reverse("people")
    shop.refresh_from_db()
    assert (shop.target_margin_pct, shop.overhead_cents_per_head, shop.price_ending_cents) == (35.0, 4000, 49)
    assert shop.packing_cents_per_kg == pytest.approx(20 / 0.45359237), "20 cents a pound"
    assert shop.hanging_on_cents_per_kg == pytest.approx(200 / 0.45359237)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"again": "another hook"}, "passwords differ"),
        ({"password": "short", "again": "short"}, "too short"),
        ({"shop_name": " "}, "required"),
        ({"zone": "Mars/Base"}, "Select a valid choice"),
        ({"weight_unit": "stone"}, "Select a valid choice"),
    ],
)
def test_what_is_wrong_is_said_and_nothing_typed_is_lost(
    client: Client, wrong: dict[str, str], said: str
) -> None:
    answer = client.post(reverse("make_shop"), changed(**wrong))
    text = answer.content.decode()
    assert answer.status_code == 400 and said in text and "Odalys" in text
    assert not ShopProfile.objects.exists() and not Person.objects.exists()


def test_all_that_is_wrong_is_said_at_once(client: Client) -> None:
    text = client.post(reverse("make_shop"), changed(again="no", zone="x", weight_unit="y")).content.decode()
    assert text.count('class="error"') == 3


def test_a_shop_is_made_once(client: Client) -> None:
    client.post(reverse("make_shop"), said())
    other = Client()
    assert other.post(reverse("make_shop"), changed(owner="Somebody")).status_code == 302
    assert Person.objects.count() == 1 and ShopProfile.objects.get().name == "Juniper Flat"


def test_two_at_once_make_one_shop(client: Client) -> None:
    said: dict[str, Any] = {
        "zone": "UTC",
        "language": "en",
        "weight_unit": "kg",
        "password": "a hook and a rail",
    }
    make_shop(name="First", owner="Odalys", **said)
    with pytest.raises(CannotDo):
        make_shop(name="Second", owner="Ruvim", **said)
    assert ShopProfile.objects.get().name == "First" and Person.objects.count() == 1
    assert not CoolerRoom.objects.exists()


# The code of the first start ------------------------------------------------------------------------------


@pytest.mark.parametrize("code", ["", "   ", "---", "AAAA-AAAA-AAAA", "x" * 41, "\u00df" * 12, "A\x00B"])
def test_without_the_code_nobody_makes_the_shop(client: Client, code: str) -> None:
    answer = client.post(reverse("make_shop"), changed(code=code))
    assert answer.status_code == 400 and answer.context["form"].errors["code"]
    assert not ShopProfile.objects.exists() and not Person.objects.exists()


def test_the_link_that_was_printed_fills_the_code_in(client: Client) -> None:
    code = first_start.code(settings.PLACE.folder)
    assert f'value="{code}"' in client.get(reverse("make_shop"), {"code": code}).content.decode()
    assert code not in client.get(reverse("make_shop")).content.decode(), "the page itself gives nothing away"


@pytest.mark.parametrize(
    "as_typed", [str.lower, lambda code: code.replace("-", " "), lambda code: code.replace("-", "")]
)
def test_the_code_may_be_typed_as_people_type(tmp_path: Path, as_typed: Callable[[str], str]) -> None:
    code = first_start.code(tmp_path)
    assert first_start.is_right(as_typed(code), tmp_path)
    assert not first_start.is_right(as_typed(code)[:-1], tmp_path)
    assert not first_start.is_right(as_typed(code) + "A", tmp_path)


def test_the_code_is_of_its_folder_and_for_its_owner_alone(tmp_path: Path) -> None:
    first, second = tmp_path / "a", tmp_path / "b"
    first.mkdir()
    second.mkdir()
    code = first_start.code(first)
    assert first_start.code(first) == code != first_start.code(second)
    assert stat.S_IMODE((first / first_start.NAME).stat().st_mode) == 0o600
    assert len(set(code) - {"-"}) > 3 and set(code) <= {*first_start.LETTERS, "-"}


def test_a_file_that_is_not_written_yet_opens_nothing(tmp_path: Path) -> None:
    (tmp_path / first_start.NAME).write_text("")
    assert not first_start.is_right("", tmp_path) and not first_start.is_right("---", tmp_path)


def test_once_the_shop_is_made_the_code_is_gone(client: Client) -> None:
    client.post(reverse("make_shop"), said())
    assert ShopProfile.objects.exists() and not (settings.PLACE.folder / first_start.NAME).exists()
