"""The plan pages as a person meets them: ask, look, accept, settle, print; and who may do which."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.plan.result import Binding, Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import today
from gambrel.shop.pages.plan import views
from gambrel.shop.records.models import Person, PinnedSide, Plan, PlanState, ShopProfile, Side, SideState
from gambrel.shop.records.selectors import plan as plan_selectors
from gambrel.shop.records.services import plan as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def cut_tomorrow(week: Week, **asked: Any) -> PlanResult:
    sides = tuple(
        SidePlan(hanging.side_id(half), hanging.id, half, hanging.kind.slug, week.shop.start + timedelta(days=1),
                 150.0, {"rib-primal": "boneless"})
        for hanging in week.animals for half in hanging.side_hot_kg
    )  # fmt: skip
    return PlanResult("optimal", 123_456, 0.0, 0.1, Money(counter_cents=123_456), sides=sides,
                      binding=(Binding("knife hours of Tuesday", "one hour", 4_321),))  # fmt: skip


def solved() -> Plan:
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5,
                       by=Person.objects.get(role="owner"))  # fmt: skip
    return service.solve(plan.pk, solver=cut_tomorrow)


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solve within the request instead of in a process of its own, which sees another database."""
    monkeypatch.setattr(
        views.service, "solve_apart", lambda plan: service.solve(plan.pk, solver=cut_tomorrow)
    )


def test_without_a_plan_the_page_says_how_to_get_one(owner_client: Client) -> None:
    answer = owner_client.get(reverse("plan"))
    assert answer.status_code == 200
    assert "No plan yet" in answer.content.decode()


@pytest.mark.usefixtures("at_once")
def test_ask_look_accept(owner_client: Client) -> None:
    asked = owner_client.post(
        reverse("ask_plan"), {"start": today().isoformat(), "days": "14", "seconds": "20"}, follow=True
    )
    text = asked.content.decode()
    assert "$1,234.56" in text and "knife hours of Tuesday" in text and "$43.21" in text
    plan = Plan.objects.get()
    accepted = owner_client.post(reverse("accept_plan", args=[plan.pk]), follow=True)
    assert "the shop works by it" in accepted.content.decode()
    assert Plan.objects.get().accepted_by == Person.objects.get(role="owner")


def test_wrong_entries_are_told_together_and_nothing_is_asked(owner_client: Client) -> None:
    answer = owner_client.post(reverse("ask_plan"), {"start": "soon", "days": "0", "seconds": "99999999"})
    assert answer.status_code == 400
    assert len(answer.context["form"].errors) == 3
    assert not Plan.objects.exists()


def test_a_far_day_is_refused(owner_client: Client) -> None:
    far = (today() + timedelta(days=61)).isoformat()
    answer = owner_client.post(reverse("ask_plan"), {"start": far, "days": "7", "seconds": "5"})
    assert answer.status_code == 400
    assert "start" in answer.context["form"].errors


def test_a_plan_that_is_being_worked_out_says_how_far_it_is_and_can_be_stopped(owner_client: Client) -> None:
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=40, by=None)
    text = owner_client.get(reverse("plan")).content.decode()
    assert 'http-equiv="refresh"' in text and "of at most 40 seconds" in text
    owner_client.post(reverse("stop_plan", args=[plan.pk]))
    assert Plan.objects.get().state == PlanState.STOPPED
    assert (
        'http-equiv="refresh"' not in owner_client.get(reverse("one_plan", args=[plan.pk])).content.decode()
    )


def test_a_cutter_may_settle_a_side_but_not_accept(cutter_client: Client) -> None:
    plan = solved()
    assert cutter_client.post(reverse("accept_plan", args=[plan.pk])).status_code == 403
    side = Side.objects.filter(state=SideState.HANGING).first()
    assert side is not None
    day = today() + timedelta(days=2)
    page = cutter_client.get(reverse("settle_side", args=[side.pk]))
    assert "rib-primal" in str(page.context["form"].pieces)
    sent = cutter_client.post(
        reverse("settle_side", args=[side.pk]),
        {"day": day.isoformat(), "way-rib-primal": "", "why": "smoker"},
    )
    assert sent.status_code == 302
    assert {pin.day for pin in PinnedSide.objects.filter(side__animal=side.animal)} == {day}


def test_a_way_that_is_none_is_refused(owner_client: Client) -> None:
    side = Side.objects.filter(state=SideState.HANGING).first()
    assert side is not None
    sent = owner_client.post(reverse("settle_side", args=[side.pk]), {"way-rib-primal": "sideways"})
    assert sent.status_code == 400
    assert not PinnedSide.objects.exists()


def test_the_counter_looks_but_asks_for_nothing(counter_client: Client) -> None:
    solved()
    text = counter_client.get(reverse("plan")).content.decode()
    assert "$1,234.56" in text and "Work out a plan" not in text
    assert counter_client.post(reverse("ask_plan"), {}).status_code == 403


def test_the_cut_sheet_is_a_document_of_the_planned_sides(owner_client: Client) -> None:
    Side.objects.exclude(animal__tag="C1").update(state=SideState.GONE)
    answer = owner_client.get(reverse("plan_sheet", args=[solved().pk]))
    assert answer["Content-Type"] == "application/pdf"
    pdfium = pytest.importorskip("pypdfium2")
    document = pdfium.PdfDocument(answer.content)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    assert "C1-left" in text and "C1-right" in text


def test_the_cut_sheet_is_kept_for_each_language_and_paper(
    owner_client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    Side.objects.exclude(animal__tag="C1").update(state=SideState.GONE)
    made: list[str] = []
    whole = plan_selectors.plan_pdf
    monkeypatch.setattr(
        plan_selectors, "plan_pdf", lambda sheet, paper: made.append(paper) or whole(sheet, paper=paper)
    )
    address = reverse("plan_sheet", args=[solved().pk])
    english = owner_client.get(address).content
    assert owner_client.get(address).content == english
    assert len(made) == 1
    Person.objects.filter(role="owner").update(language="es")
    spanish = owner_client.get(address).content
    assert spanish != english
    assert len(made) == 2


def test_the_calendar_is_drawn_and_stands_in_a_table_too(owner_client: Client) -> None:
    solved()
    text = owner_client.get(reverse("plan")).content.decode()
    assert "<svg" in text and "B1-left" in text
    assert text.count("<tr") > 14


def test_spanish(owner_client: Client) -> None:
    Person.objects.filter(role="owner").update(language="es")
    solved()
    text = owner_client.get(reverse("plan")).content.decode()
    assert "Ningún plan gana más de" in text and "No plan earns more than" not in text
