"""A printed price list, and the board on a screen, say which list it is and since when it holds."""

from __future__ import annotations

from datetime import timedelta

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.clock import now, standing_at
from gambrel.shop.records.models import Demand, Person, Price, PriceList
from gambrel.shop.records.services.prices import NewPrice, set_list

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]
SHEETS = ("price_board_sheet", "price_list_sheet")
COPIES = 4
"""So often is every product on the list: more than one page of paper."""


def a_list(cents_more: float = 0.0) -> PriceList:
    lines = [
        NewPrice(one.slug, f"{one.group}{'+' * copy}", one.steps[0]["price_cents_per_kg"] + cents_more, 500.0, False)
        for one in Demand.objects.all() for copy in range(COPIES)
    ]  # fmt: skip
    return set_list(lines, by=Person.objects.get(role="owner"))


def pages_of(client: Client, name: str) -> list[str]:
    document = pypdfium2.PdfDocument(client.get(reverse(name)).content)
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in document]
    document.close()
    return pages


@pytest.mark.parametrize(
    ("language", "said"),
    [("en", "Prices: list {number}, which holds from {at}."),
     ("es", "Precios: lista {number}, que vale desde {at}.")],
)  # fmt: skip
def test_every_page_of_paper_names_its_list(owner_client: Client, language: str, said: str) -> None:
    """The clock of the tests stands at 15:30 UTC, half past nine at the shop."""
    Person.objects.update(language=language)
    first = a_list()
    with standing_at(now() + timedelta(days=2, hours=1)):
        second = a_list(cents_more=100.0)
        for name in SHEETS:
            pages = pages_of(owner_client, name)
            assert len(pages) > 1
            for page in pages:
                assert page.count(said.format(number=second.pk, at="2026-03-11 10:30")) == 1, name
                assert f"list {first.pk}," not in page and f"lista {first.pk}," not in page


def test_a_list_printed_again_later_is_the_same_list(owner_client: Client) -> None:
    made = a_list()
    with standing_at(now() + timedelta(days=30)):
        for name in SHEETS:
            assert f"list {made.pk}, which holds from 2026-03-09 09:30." in pages_of(owner_client, name)[0]


def test_without_a_list_no_paper_says_one(owner_client: Client) -> None:
    for name in SHEETS:
        assert all("holds from" not in page for page in pages_of(owner_client, name))
    assert "holds from" not in owner_client.get(reverse("price_board")).content.decode()


def test_screen_and_pages_name_the_list_that_paper_is_held_against(
    owner_client: Client, counter_client: Client
) -> None:
    made = a_list()
    said = f"List {made.pk}, holds from 2026-03-09 09:30."
    assert said in owner_client.get(reverse("price_board")).content.decode()
    text = counter_client.get(reverse("prices")).content.decode()
    assert said in text and "A printed list with another number is old." in text
    assert f"<li>List {made.pk}: 2026-03-09 09:30 " in owner_client.get(reverse("prices")).content.decode()


def test_a_long_number_is_written_as_on_paper(owner_client: Client) -> None:
    """Without the marks between thousands that a page gives to figures."""
    made = PriceList.objects.create(pk=12_345, at=now())
    Price.objects.create(price_list=made, slug="ribeye-steak", group="bison", price_cents_per_kg=4000.0)
    Person.objects.filter(role="owner").update(language="es")
    assert "Lista 12345, vale desde" in owner_client.get(reverse("price_board")).content.decode()
    assert "lista 12345," in pages_of(owner_client, "price_board_sheet")[0]
