"""Kinds of the shop's own: added by the owner, hung, planned and forecast like the four; and what is refused."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.shop.clock import today
from gambrel.shop.records.models import Animal, AuditLine, Demand, OwnKind, Person, ShopProfile, Side
from gambrel.shop.records.services.kinds import remove_kind, save_kind
from gambrel.shop.records.week import kinds_of_shop, week_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

CROSS = {"name": "Dairy cross", "like": "grain-finished", "species": "cattle", "rib_pairs": "13", "ribbed_behind": "12",
         "earliest": "9", "target": "12", "latest": "18", "hot_weight": "700 lb"}  # fmt: skip
HANG = {"tag": "D7", "kind": "dairy-cross", "sex": "steer", "hot_left": "345 lb", "hot_right": "349 lb",
        "inspected": "federal"}  # fmt: skip


def add(client: Client, **changed: str) -> Any:
    return client.post(reverse("kinds"), CROSS | changed)


def hang_one(client: Client, **changed: str) -> Side:
    killed = {"killed_on": str(today() - timedelta(days=5))}
    assert client.post(reverse("hang_animal"), HANG | killed | changed).status_code == 302
    return Side.objects.select_related("animal").get(animal__tag="D7", half="left")


def test_a_kind_says_what_is_different_and_takes_the_rest(owner_client: Client) -> None:
    """700 lb are 317.5 kg [the pound of 1959]; fat and yields are those of the kind it leans on."""
    assert add(owner_client).status_code == 302
    made, base = kinds_of_shop()["dairy-cross"], kinds_of_shop()["grain-finished"]
    assert (made.name, made.like, made.hang_days) == ("Dairy cross", "grain-finished", (9, 12, 18))
    assert made.hot_kg.mean == pytest.approx(317.515, abs=0.001) and made.hot_kg.mark == "shop"
    assert (made.fat_mm, made.dressing_share) == (base.fat_mm, base.dressing_share)
    line = AuditLine.objects.latest("pk")
    assert (line.what, line.by) == ("added a kind", Person.objects.get(role="owner"))


@pytest.mark.parametrize(
    "wrong",
    [
        {"name": ""},
        {"name": "Bison"},
        {"name": "bison"},
        {"name": "Grain-finished cattle"},
        {"name": "¿?"},
        {"name": "x" * 41},
        {"like": "yak"},
        {"species": "bison"},
        {"rib_pairs": "11"},
        {"ribbed_behind": "13"},
        {"ribbed_behind": "0"},
        {"earliest": "13"},
        {"latest": "11"},
        {"latest": "121"},
        {"target": "-1"},
        {"hot_weight": "5000 lb"},
        {"hot_weight": "heavy"},
        {"hot_weight": "1,200 lb"},
    ],
    ids=str,
)
def test_what_no_kind_can_be_is_refused_and_stays_typed(owner_client: Client, wrong: dict[str, str]) -> None:
    answer = add(owner_client, **wrong)
    assert answer.status_code == 400
    assert answer.context["found"] or answer.context["form"].errors
    assert not OwnKind.objects.exists()
    if "target" not in wrong:
        assert 'value="12"' in answer.content.decode()


def test_a_name_is_given_once(owner_client: Client) -> None:
    add(owner_client)
    assert add(owner_client).status_code == 400
    assert add(owner_client, name="DAIRY CROSS").status_code == 400
    assert OwnKind.objects.count() == 1


def test_every_slip_of_a_kind_is_told_at_once() -> None:
    fields = {
        "name": "bison",
        "like": "grain-finished",
        "rib_pairs": 13,
        "ribbed_between": [13, 14],
        "hang_days": [9, 5, 7],
    }
    with pytest.raises(CannotDo) as told:
        save_kind(fields, by=None)
    assert len(told.value.findings) == 3


def test_it_is_offered_when_an_animal_is_hung_and_may_be_left_out(owner_client: Client) -> None:
    ShopProfile.objects.update(kinds_used=["bison"])
    add(owner_client)
    assert ShopProfile.objects.get().kinds_used == ["bison", "dairy-cross"]
    offered = owner_client.get(reverse("hang_animal")).context["form"].fields["kind"].choices
    assert [slug for slug, _ in offered] == ["bison", "dairy-cross"]


def test_an_animal_of_it_is_ready_on_its_own_days_and_planned(owner_client: Client, demo_shop: Any) -> None:
    add(owner_client)
    side = hang_one(owner_client)
    week = week_of(demo_shop.profile, start=today(), days=14)
    hanging = next(one for one in week.animals if one.id == "D7")
    assert hanging.kind.hang_days == (9, 12, 18)
    page = owner_client.get(reverse("side", args=[side.pk])).content.decode()
    assert "Dairy cross" in page


@pytest.mark.parametrize(
    "name", ["today", "rail", "forecasts", "plan", "block", "bid", "books", "animals", "compare", "orders"]
)
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_page_of_the_day_opens_with_it(owner_client: Client, name: str, language: str) -> None:
    Person.objects.filter(role="owner").update(language=language)
    add(owner_client)
    hang_one(owner_client)
    assert owner_client.get(reverse(name)).status_code == 200


@pytest.mark.parametrize("name", ["side", "forecast", "ribface", "begin_cutting", "settle_side"])
def test_every_page_of_a_side_of_it_opens(owner_client: Client, name: str) -> None:
    add(owner_client)
    side = hang_one(owner_client)
    assert owner_client.get(reverse(name, args=[side.pk])).status_code == 200


def test_a_kind_is_changed_and_keeps_its_name_in_the_records(owner_client: Client) -> None:
    add(owner_client)
    url = reverse("change_kind", args=["dairy-cross"])
    held = {field.html_name: field.value() for field in owner_client.get(url).context["form"]}
    assert held["hot_weight"] == "700 lb" and held["target"] == 12
    assert owner_client.post(url, held | {"name": "Holstein cross", "latest": "20"}).status_code == 302
    changed = kinds_of_shop()["dairy-cross"]
    assert (changed.name, changed.hang_days) == ("Holstein cross", (9, 12, 20))
    assert changed.hot_kg.mean == pytest.approx(317.515, abs=0.001), "a box that was not touched stays exact"
    line = AuditLine.objects.latest("pk")
    assert (
        line.before
        and line.after
        and (line.before["name"], line.after["name"]) == ("Dairy cross", "Holstein cross")
    )


def test_the_four_are_not_changed(owner_client: Client) -> None:
    assert owner_client.get(reverse("change_kind", args=["bison"])).status_code == 404
    assert owner_client.post(reverse("remove_kind", args=["bison"])).status_code == 404


def test_a_kind_that_nothing_is_of_is_taken_out(owner_client: Client) -> None:
    ShopProfile.objects.update(kinds_used=["bison"])
    add(owner_client)
    owner_client.post(reverse("remove_kind", args=["dairy-cross"]))
    assert not OwnKind.objects.exists() and ShopProfile.objects.get().kinds_used == ["bison"]
    line = AuditLine.objects.latest("pk")
    assert line.what == "took out a kind" and line.before and line.before["name"] == "Dairy cross"


def test_a_kind_in_use_stays(owner_client: Client) -> None:
    add(owner_client)
    hang_one(owner_client)
    Demand.objects.filter(pk=Demand.objects.first().pk).update(kinds=["dairy-cross"])  # type: ignore[union-attr]
    with pytest.raises(CannotDo, match="animals, what sells"):
        remove_kind(OwnKind.objects.get(), by=None)
    answer = owner_client.post(reverse("remove_kind", args=["dairy-cross"]), follow=True)
    assert "in use: animals" in answer.content.decode()
    assert OwnKind.objects.exists() and Animal.objects.filter(kind="dairy-cross").exists()


def test_only_the_owner_comes_here(cutter_client: Client, counter_client: Client) -> None:
    for client in (cutter_client, counter_client):
        assert client.get(reverse("kinds")).status_code == 403 and add(client).status_code == 403
