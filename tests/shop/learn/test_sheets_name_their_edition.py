"""Every printed forecast says at its foot which yields it came from, in both languages; a bill says none."""

from __future__ import annotations

import io
from collections.abc import Callable
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from gambrel.shop.clock import today
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.models import Cutting, Person, Plan, Share, ShopProfile, SideState
from gambrel.shop.records.selectors import shares as selector
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.shop_yields import Taught, taught
from gambrel.shop.records.yields_said import yields_said

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]
Agree = Callable[[], Share]
Accept = Callable[[], Plan]
Sheets = Callable[[], list[str]]


def printed(client: Client, address: str) -> list[str]:
    """The words of every page."""
    answer = client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    document = pypdfium2.PdfDocument(io.BytesIO(content))
    pages = [page.get_textpage().get_text_range() for page in document]
    document.close()
    return [" ".join(text.replace("\ufffe", "").split()) for text in pages]


@pytest.fixture
def sheets(agree_share: Agree, accept_plan: Accept) -> Callable[[], list[str]]:
    """`sheets()` are the addresses of every sheet that shows a forecast."""

    def addresses() -> list[str]:
        plan, share = accept_plan(), agree_share()
        side = share.animal.sides.filter(state=SideState.HANGING).latest("pk")
        return [reverse("share_invoice", args=[share.pk]), reverse("compare_poster"),
                reverse("forecast_sheet", args=[side.pk]), reverse("plan_sheet", args=[plan.pk])]  # fmt: skip

    return addresses


def test_every_sheet_names_the_edition_on_every_page_in_both_languages(
    demo_shop: Any, cut_side: Cut, owner_client: Client, sheets: Sheets
) -> None:
    cut_side()
    edition = taught(ShopProfile.objects.get()).edition
    addresses = sheets()
    for language, said in (
        ("en", f"Yields: the book, put right by 1 side cut here (edition {edition})."),
        ("es", f"Rendimientos: el libro, corregido por 1 media canal cortada aquí (edición {edition})."),
    ):
        Person.objects.update(language=language)
        for address in addresses:
            assert all(page.count(said) == 1 for page in printed(owner_client, address)), (address, language)


def test_before_anything_was_cut_every_sheet_says_that_it_is_the_books(
    demo_shop: Any, owner_client: Client, sheets: Sheets
) -> None:
    for address in sheets():
        assert all("Yields: the book alone" in page for page in printed(owner_client, address)), address


def test_what_is_learned_later_leaves_the_posters_edition_as_its_plan_knew_it(
    demo_shop: Any, cut_side: Cut, owner_client: Client, accept_plan: Accept
) -> None:
    plan = accept_plan()
    cut_side()
    assert taught(ShopProfile.objects.get()).edition != "book"
    for address in (reverse("compare_poster"), reverse("plan_sheet", args=[plan.pk])):
        assert all("the book alone" in page for page in printed(owner_client, address))


def test_the_invoice_of_a_share_that_was_handed_over_names_none(
    demo_shop: Any, cut_side: Cut, owner_client: Client, agree_share: Agree
) -> None:
    cut_side()
    share = agree_share()
    foretold = selector.figures_of(share, demo_shop.profile).taken_kg
    service.hand_over(share, taken_kg=100, ground_kg=20, on=today(), foretold_kg=foretold, by=None)
    for page in printed(owner_client, reverse("share_invoice", args=[share.pk])):
        assert "Yields" not in page and "edition" not in page


@pytest.mark.parametrize(
    ("count", "english", "spanish"),
    [
        (0, "Yields: the book alone; no side cut here has taught anything yet.",
         "Rendimientos: solo el libro; ninguna media canal cortada aquí ha enseñado algo todavía."),
        (1, "Yields: the book, put right by 1 side cut here (edition 0a1b2c3d4e5f).",
         "Rendimientos: el libro, corregido por 1 media canal cortada aquí (edición 0a1b2c3d4e5f)."),
        (21, "Yields: the book, put right by 21 sides cut here (edition 0a1b2c3d4e5f).",
         "Rendimientos: el libro, corregido por 21 medias canales cortadas aquí (edición 0a1b2c3d4e5f)."),
    ],
)  # fmt: skip
def test_the_sentence_counts_its_sides(count: int, english: str, spanish: str) -> None:
    tests: Any = tuple(range(count))
    known = Taught(tests, "closely", "0a1b2c3d4e5f", 0)
    assert yields_said(known) == english
    with translation.override("es"):
        assert in_words_of_page(yields_said(known)) == spanish
