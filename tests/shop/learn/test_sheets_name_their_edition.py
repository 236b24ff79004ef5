"""Every printed forecast says at its foot which yields it came from, in both languages; a bill says none."""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.test import Client
from django.urls import reverse
from django.utils import translation

from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.clock import today
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.models import Cutting, Person, Plan, Share, ShopProfile, Side, SideState
from gambrel.shop.records.selectors import shares as selector
from gambrel.shop.records.services import plan as plans
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.shop_yields import Taught, taught
from gambrel.shop.records.yields_said import yields_said

pytestmark = pytest.mark.django_db
Cut = Callable[..., Cutting]
KIND = "grain-finished"


def printed(client: Client, address: str) -> list[str]:
    """The words of every page."""
    answer = client.get(address)
    assert answer.status_code == 200 and answer["Content-Type"] == "application/pdf"
    content = b"".join(answer.streaming_content) if answer.streaming else answer.content
    document = pypdfium2.PdfDocument(io.BytesIO(content))
    pages = [page.get_textpage().get_text_range() for page in document]
    document.close()
    return [" ".join(text.replace("\ufffe", "").split()) for text in pages]


def hanging() -> Side:
    rows = Side.objects.filter(state=SideState.HANGING, animal__kind=KIND, animal__owner_name="")
    return rows.select_related("animal").order_by("-pk")[0]


def a_share() -> Share:
    terms = Terms(hanging_cents_per_kg=1000.0, cut_wrap_cents_per_kg=200.0)
    return service.agree(animal=hanging().animal, portion="half", customer="A. Neighbour", contact="", terms=terms,
                         bought_on=date(2026, 3, 2), wishes=OwnerWishes(), key=uuid4(), by=None)  # fmt: skip


def nothing_sold(week: Week, **_: Any) -> PlanResult:
    sides = tuple(
        SidePlan(one.side_id(half), one.id, half, one.kind.slug, week.shop.start + timedelta(days=1), 150.0, {})
        for one in week.animals for half in one.side_hot_kg
    )  # fmt: skip
    return PlanResult("optimal", 0, 0.0, 0.1, Money(), sides=sides)


def accepted(shop: Any) -> Plan:
    owner = shop.person("owner")
    asked = plans.ask(shop.profile, start=today(), days=14, seconds=5, by=owner)
    return plans.accept(plans.solve(asked.pk, solver=nothing_sold), by=owner)


def sheets(shop: Any) -> list[str]:
    """The addresses of every sheet that shows a forecast."""
    plan = accepted(shop)
    return [reverse("share_invoice", args=[a_share().pk]), reverse("compare_poster"),
            reverse("forecast_sheet", args=[hanging().pk]), reverse("plan_sheet", args=[plan.pk])]  # fmt: skip


def test_every_sheet_names_the_edition_on_every_page_in_both_languages(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    cut_side()
    edition = taught(ShopProfile.objects.get()).edition
    addresses = sheets(demo_shop)
    for language, said in (
        ("en", f"Yields: the book, put right by 1 side cut here (edition {edition})."),
        ("es", f"Rendimientos: el libro, corregido por 1 media canal cortada aquí (edición {edition})."),
    ):
        Person.objects.update(language=language)
        for address in addresses:
            assert all(page.count(said) == 1 for page in printed(owner_client, address)), (address, language)


def test_before_anything_was_cut_every_sheet_says_that_it_is_the_books(
    demo_shop: Any, owner_client: Client
) -> None:
    for address in sheets(demo_shop):
        assert all("Yields: the book alone" in page for page in printed(owner_client, address)), address


def test_what_is_learned_later_leaves_the_posters_edition_as_its_plan_knew_it(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    plan = accepted(demo_shop)
    cut_side()
    assert taught(ShopProfile.objects.get()).edition != "book"
    for address in (reverse("compare_poster"), reverse("plan_sheet", args=[plan.pk])):
        assert all("the book alone" in page for page in printed(owner_client, address))


def test_the_invoice_of_a_share_that_was_handed_over_names_none(
    demo_shop: Any, cut_side: Cut, owner_client: Client
) -> None:
    cut_side()
    share = a_share()
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
