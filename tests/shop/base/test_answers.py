"""Sheets to print and pages with a form answer alike, whichever page they are of."""

from __future__ import annotations

from typing import Any

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from gambrel.shop.pages.base.answers import get_or_post, paper_of, pdf_answer
from gambrel.shop.records.models import CoolerRoom, Plan, Side

LETTER_PT, A4_PT = (612.0, 792.0), (595.28, 841.89)
"""8.5 x 11 in and 210 x 297 mm, at 72 points an inch [ISO 216, 2007, for A4]."""


@pytest.mark.parametrize(
    ("asked", "paper"), [("a4", "a4"), ("letter", "letter"), ("A0", "letter"), ("", "letter")]
)
def test_the_paper_is_letter_unless_a4_is_asked_for(rf: Any, asked: str, paper: str) -> None:
    assert paper_of(rf.get("/", {"paper": asked})) == paper
    assert paper_of(rf.get("/")) == "letter"


def test_a_sheet_is_shown_and_has_a_name_to_be_kept_by() -> None:
    answer = pdf_answer(b"%PDF-1.7", "plan-2026-03-09")
    assert (answer["Content-Type"], answer.content) == ("application/pdf", b"%PDF-1.7")
    assert answer["Content-Disposition"] == 'inline; filename="plan-2026-03-09.pdf"'


@pytest.mark.parametrize(
    ("method", "status"), [("get", 200), ("post", 200), ("put", 405), ("delete", 405), ("head", 405)]
)
def test_a_page_with_a_form_is_read_and_sent_and_nothing_else(rf: Any, method: str, status: int) -> None:
    view = get_or_post(lambda request: HttpResponse("form"))
    assert view(getattr(rf, method)("/")).status_code == status


def _sheets() -> dict[str, str]:
    plan = Plan.objects.filter(state="done").order_by("-pk").first()
    side = Side.objects.filter(state="hanging").order_by("pk")[0]
    found = {"price_board_sheet": reverse("price_board_sheet"), "price_list_sheet": reverse("price_list_sheet"),
             "forecast_sheet": reverse("forecast_sheet", args=[side.pk]),
             "cooler_log": reverse("cooler_log", args=[CoolerRoom.objects.all()[0].pk])}  # fmt: skip
    return found | ({"plan_sheet": reverse("plan_sheet", args=[plan.pk])} if plan else {})


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
def test_every_sheet_comes_on_both_papers(owner_client: Client) -> None:
    import pypdfium2

    for name, address in _sheets().items():
        for paper, size_pt in (("letter", LETTER_PT), ("a4", A4_PT)):
            answer = owner_client.get(address, {"paper": paper})
            assert answer.status_code == 200, name
            assert answer["Content-Disposition"].startswith('inline; filename="'), name
            document = pypdfium2.PdfDocument(answer.content)
            assert sorted(document[0].get_size()) == pytest.approx(size_pt, abs=1.0), (name, paper)
            document.close()
