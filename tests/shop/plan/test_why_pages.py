"""Why so, one more, and the best so far, as a person meets them on the pages."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.plan.pinned import own_side_id
from gambrel.plan.result import Money, PlanResult, SidePlan
from gambrel.plan.week import Week
from gambrel.shop.clock import now, today
from gambrel.shop.pages.plan import views, why_views
from gambrel.shop.records.models import Person, Plan, PlannedSide, PlanQuestion, PlanState, ShopProfile, Side
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.services import plan_questions as questions

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def by_the_rib(week: Week, **asked: Any) -> PlanResult:
    """Every side on its settled day or the second; a boneless rib earns $10.00."""
    sides = tuple(
        SidePlan(own_side_id(hanging, half), hanging.id.split("+")[0], half, hanging.kind.slug,
                 hanging.pin.day or week.shop.start + timedelta(days=1), 150.0,
                 {"rib-primal": hanging.pin.ways.get("rib-primal", "boneless")})
        for hanging in week.animals for half in hanging.side_hot_kg
    )  # fmt: skip
    cents = 1_000 * sum(side.ways["rib-primal"] == "boneless" for side in sides)
    return PlanResult("optimal", cents, 0.0, 0.1, Money(counter_cents=cents), sides=sides)


@pytest.fixture
def plan() -> Plan:
    asked = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=5, by=None)
    return service.solve(asked.pk, solver=by_the_rib)


@pytest.fixture(autouse=True)
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Answer within the request instead of in a process of its own, which sees another database."""
    monkeypatch.setattr(
        why_views.questions, "answer_apart", lambda one: questions.answer(one.pk, solver=by_the_rib)
    )


def cattle(plan: Plan) -> Side:
    return (
        PlannedSide.objects.filter(plan=plan, side__animal__tag__startswith="C")
        .select_related("side")[0]
        .side
    )


def why_address(plan: Plan) -> str:
    return reverse("why_side", args=[plan.pk, cattle(plan).pk])


def text_of(answer: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", answer.content.decode()))


def test_another_way_costs_what_the_planner_finds(owner_client: Client, plan: Plan) -> None:
    answer = owner_client.post(why_address(plan), {"way": "rib-primal=bone-in", "day": ""}, follow=True)
    text = text_of(answer)
    assert "It would cost $10.00" in text
    assert f"{cattle(plan)}: rib primal goes bone-in instead of boneless" in text


def test_another_day_that_costs_nothing_says_so(owner_client: Client, plan: Plan) -> None:
    day = (today() + timedelta(days=3)).isoformat()
    assert "It would cost nothing." in text_of(
        owner_client.post(why_address(plan), {"day": day}, follow=True)
    )


SLIPS = (
    {}, {"way": "rib-primal=bone-in", "day": "2026-03-11"}, {"way": "rib-primal=sideways"}, {"day": "2027-01-01"},
    {"day": "soon"},
)  # fmt: skip


@pytest.mark.parametrize("sent", SLIPS)
def test_neither_both_or_nonsense_is_told_and_nothing_is_asked(
    sent: dict[str, str], owner_client: Client, plan: Plan
) -> None:
    answer = owner_client.post(why_address(plan), sent)
    assert answer.status_code == 400 and answer.context["form"].errors
    assert not PlanQuestion.objects.exists()


def test_the_way_that_is_taken_is_not_offered(owner_client: Client, plan: Plan) -> None:
    page = owner_client.get(why_address(plan)).content.decode()
    assert 'value="rib-primal=bone-in"' in page and 'value="rib-primal=boneless"' not in page


def test_a_question_that_is_being_worked_out_shows_so_without_script(
    owner_client: Client, plan: Plan
) -> None:
    questions.put(plan, "day", {"side": str(cattle(plan)), "day": today().isoformat()}, by=None)
    page = owner_client.get(why_address(plan)).content.decode()
    assert 'http-equiv="refresh"' in page and "data-look-again-s" in page and "See what it costs" not in page


def test_one_more_is_asked_from_the_plan_and_answered_on_it(owner_client: Client, plan: Plan) -> None:
    text = text_of(owner_client.post(reverse("ask_more", args=[plan.pk]), follow=True))
    assert "Planned anew with one more" in text
    assert "one side more of bison $10.00" in text


def test_the_counter_looks_but_does_not_ask(counter_client: Client, plan: Plan) -> None:
    assert counter_client.get(why_address(plan)).status_code == 200
    counter_client.post(why_address(plan), {"way": "rib-primal=bone-in"})
    assert counter_client.post(reverse("ask_more", args=[plan.pk])).status_code == 403
    assert not PlanQuestion.objects.exists()


def test_the_plan_shows_what_it_may_earn_as_picture_and_table(owner_client: Client, plan: Plan) -> None:
    page = owner_client.get(reverse("one_plan", args=[plan.pk]))
    text = text_of(page)
    assert "What it may earn" in text and "In the poorest 1 of 20" in text
    assert page.content.decode().count("<svg") >= 2


def test_the_best_so_far_is_shown_and_may_be_taken(owner_client: Client) -> None:
    plan = service.ask(ShopProfile.objects.get(), start=today(), days=14, seconds=40, by=None)
    Plan.objects.filter(pk=plan.pk).update(
        state=PlanState.SOLVING, profit_cents=90_000, bound_cents=99_000, beat_at=now()
    )
    text = text_of(owner_client.get(reverse("one_plan", args=[plan.pk])))
    assert "Best so far $900.00" in text and "$990.00" in text and "10.00 %" in text
    owner_client.post(reverse("take_best", args=[plan.pk]))
    assert Plan.objects.get(pk=plan.pk).progress == service.ENOUGH


def test_a_safety_setting_is_asked_for(owner_client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(views.service, "solve_apart", lambda plan: None)
    sent = {"start": today().isoformat(), "days": "7", "seconds": "5", "safety": "0.9"}
    owner_client.post(reverse("ask_plan"), sent)
    assert Plan.objects.get().week["safety"] == 0.9
    assert owner_client.post(reverse("ask_plan"), {**sent, "safety": "2"}).status_code == 400


def test_spanish(owner_client: Client, plan: Plan) -> None:
    Person.objects.filter(role="owner").update(language="es")
    text = text_of(owner_client.post(why_address(plan), {"way": "rib-primal=bone-in"}, follow=True))
    assert "Costaría $10.00" in text and "It would cost" not in text
    assert "Lo que puede ganar" in text_of(owner_client.get(reverse("one_plan", args=[plan.pk])))
