"""Who sees the comparison: every mix of what the owner lets visitors see, and each role in each language."""

from __future__ import annotations

from urllib.parse import unquote

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.records.models import Person, ShopProfile

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.mark.parametrize("comparison", ["", "on"])
@pytest.mark.parametrize("prices", ["", "on"])
def test_what_visitors_may_see(
    owner_client: Client, visitor_client: Client, comparison: str, prices: str
) -> None:
    ticked = {name: value for name, value in (("comparison", comparison), ("prices", prices)) if value}
    assert owner_client.post(reverse("show_compare"), ticked)["Location"] == reverse("compare")
    shop = ShopProfile.objects.get()
    assert (shop.comparison_is_public, shop.prices_are_public) == (bool(comparison), bool(prices))
    assert visitor_client.get(reverse("compare")).status_code == (200 if comparison else 302)


@pytest.mark.parametrize("name", ["compare", "compare_poster"])
def test_a_visitor_who_may_not_is_led_back_after_signing_in(visitor_client: Client, name: str) -> None:
    address = f"{reverse(name)}?paper=a4"
    assert unquote(visitor_client.get(address)["Location"]) == f"{reverse('sign_in')}?next={address}"


@pytest.mark.parametrize("paper", ["a4", "letter", "", "\x00", "x" * 10_000])
def test_without_a_plan_there_is_no_poster(owner_client: Client, paper: str) -> None:
    assert owner_client.get(reverse("compare_poster"), {"paper": paper}).status_code == 404


@pytest.mark.parametrize("role", ["owner", "cutter", "counter"])
@pytest.mark.parametrize("name", ["compare", "today"])
@pytest.mark.parametrize("language", ["en", "es"])
def test_each_role_reads_it_in_each_language(
    request: pytest.FixtureRequest, role: str, name: str, language: str
) -> None:
    client = request.getfixturevalue(f"{role}_client")
    Person.objects.filter(role=role).update(language=language, weight_unit="kg")
    answer = client.get(reverse(name))
    assert answer.status_code == 200 and f'<html lang="{language}"' in answer.content.decode()


@pytest.mark.parametrize("role", ["cutter", "counter"])
def test_only_the_owner_opens_it_to_visitors(request: pytest.FixtureRequest, role: str) -> None:
    client = request.getfixturevalue(f"{role}_client")
    assert client.post(reverse("show_compare"), {"comparison": "on"}).status_code == 403
    assert not ShopProfile.objects.get().comparison_is_public
