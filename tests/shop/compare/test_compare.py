"""The kinds side by side: who may see them, what is drawn, and that no official grade or claim stands there."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    AuditLine,
    FaceAccepted,
    FaceReading,
    Person,
    Plan,
    ShopProfile,
    Side,
    SideState,
)  # fmt: skip
from gambrel.shop.records.selectors.compare import compare_page
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def nothing_sold(week: Week, **asked: Any) -> PlanResult:
    sides = tuple(
        SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, week.shop.start + timedelta(days=1),
                 150.0, {})
        for hanging in week.animals for half in hanging.side_hot_kg
    )  # fmt: skip
    return PlanResult("optimal", 0, 0.0, 0.1, Money(), sides=sides)


@pytest.fixture
def accepted() -> Plan:
    """A plan of four animals, one of each kind."""
    Side.objects.exclude(animal__tag__in=["B1", "G1", "C1", "W1"]).update(state=SideState.GONE)
    owner = Person.objects.get(role="owner")
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=owner)
    return service.accept(service.solve(asked.pk, solver=nothing_sold), by=owner)


def test_without_a_plan_nothing_is_made_up(owner_client: Client) -> None:
    text = owner_client.get(reverse("compare")).content.decode()
    assert "nothing to compare yet" in text and "<svg" not in text
    assert owner_client.get(reverse("compare_poster")).status_code == 404


@pytest.mark.usefixtures("accepted")
def test_four_kinds_each_with_its_own_figures() -> None:
    page = compare_page(title="Four", with_prices=True)
    assert [line.slug for line in page.lines] == ["bison", "grass-finished", "grain-finished", "wagyu"]
    assert len({line.face.side_kg.mean for line in page.lines}) == 4
    for line in page.lines:
        split = line.face.split
        shares = (split.cuts_share, split.ground_share, split.fat_share, split.bone_share, split.loss_share)
        assert sum(shares) == pytest.approx(1.0), "everything that hangs goes somewhere"
        assert line.nutrition is not None and line.nutrition.kind == line.slug


@pytest.mark.usefixtures("accepted")
def test_marbling_is_the_mean_of_the_eyes_that_were_read() -> None:
    for half, pct in (("left", 4.0), ("right", 6.0)):
        side = Side.objects.get(animal__tag="C1", half=half)
        reading = FaceReading.objects.create(side=side, at=now(), how="read", marbling_pct=pct)
        FaceAccepted.objects.create(reading=reading, side=side, at=now())
    said = {line.slug: line.face.marbling_pct for line in compare_page(title="", with_prices=False).lines}
    assert said["grain-finished"] == 5.0 and said["bison"] is None


@pytest.mark.usefixtures("accepted")
def test_a_visitor_sees_it_only_when_the_owner_shows_it(owner_client: Client, visitor_client: Client) -> None:
    for name in ("compare", "compare_poster"):
        refused = visitor_client.get(reverse(name))
        assert refused.status_code == 302 and "sign-in" in refused["Location"]
    assert owner_client.post(reverse("show_compare"), {"comparison": "on"}).status_code == 302
    assert ShopProfile.objects.get().comparison_is_public
    assert AuditLine.objects.filter(what="changed what visitors see").count() == 1
    seen = visitor_client.get(reverse("compare"))
    assert seen.status_code == 200 and "ask at the counter" in seen.content.decode()
    assert visitor_client.post(reverse("show_compare"), {}).status_code in (302, 403)
    assert ShopProfile.objects.get().comparison_is_public, "a visitor changes nothing"


@pytest.mark.usefixtures("accepted")
def test_prices_are_shown_to_visitors_only_when_the_owner_says_so() -> None:
    with_them, without = (compare_page(title="", with_prices=shown) for shown in (True, False))
    assert all(line.face.low_cents_per_kg is None for line in without.lines)
    assert [line.slug for line in with_them.lines] == [line.slug for line in without.lines]


@pytest.mark.usefixtures("accepted")
def test_the_page_defers_to_the_grader_and_says_where_figures_come_from(owner_client: Client) -> None:
    text = owner_client.get(reverse("compare")).content.decode()
    assert "only a licensed grader" in text and "Release 27" in text and "17268" in text
    for claim in ("USDA Prime", "USDA Choice", "organic", "grass-fed beef</"):
        assert claim not in text


@pytest.mark.usefixtures("accepted")
def test_the_poster_is_a_picture_with_its_figures_on_the_next_page(owner_client: Client) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    answer = owner_client.get(reverse("compare_poster"))
    document = pdfium.PdfDocument(answer.content)
    pages = [page.get_textpage().get_text_range() for page in document]
    document.close()
    assert len(pages) == 2 and "bison" in pages[1] and "licensed grader" in pages[1]


@pytest.mark.usefixtures("accepted")
def test_spanish(owner_client: Client) -> None:
    Person.objects.filter(role="owner").update(language="es")
    text = owner_client.get(reverse("compare")).content.decode()
    assert "¿Por qué son distintos los cuatro?" in text and "A side weighs" not in text


@pytest.mark.usefixtures("accepted")
def test_the_poster_keeps_prices_from_visitors_like_the_page(
    visitor_client: Client, owner_client: Client
) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    ShopProfile.objects.update(comparison_is_public=True, prices_are_public=False)

    def said(client: Client) -> str:
        document = pdfium.PdfDocument(client.get(reverse("compare_poster")).content)
        text = "".join(page.get_textpage().get_text_range() for page in document)
        document.close()
        return text

    assert "$" not in said(visitor_client)
    assert "bison" in said(owner_client)
