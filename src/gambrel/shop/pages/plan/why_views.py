"""Why this way and not that one, and what one more would earn: questions put to a plan, and their answers."""

from __future__ import annotations

from datetime import timedelta

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from gambrel.measures import CannotDo
from gambrel.shop.access import role_of
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.plan.forms import WhyForm
from gambrel.shop.pages.plan.sayings import changes_said, product_name
from gambrel.shop.records.models import Plan, PlanState, Side
from gambrel.shop.records.selectors.plan_answers import Asked, questions_of
from gambrel.shop.records.selectors.plan_pins import ways_to_settle
from gambrel.shop.records.services import plan_questions as questions

MOST_PRODUCTS = 10


def why_side(request: ShopRequest, plan_id: int, side_id: int) -> HttpResponse:
    """One side in a plan: what it does, what another way or day would cost, what was asked so far."""
    questions.tell_ended_questions()
    plan = get_object_or_404(Plan.objects.defer("week", "answer"), pk=plan_id, state=PlanState.DONE)
    planned = get_object_or_404(plan.sides.select_related("side__animal", "side__pin"), side_id=side_id)
    side: Side = planned.side
    choices, _ = ways_to_settle(side, trim=request.shop.trim)
    days = (plan.start_on, plan.start_on + timedelta(days=plan.days - 1))
    form = WhyForm(
        request.POST if request.method == "POST" else None, choices=choices, taken=planned.ways, days=days
    )
    if request.method == "POST" and role_of(request) != "counter" and form.is_valid():
        return _put(request, plan, *form.question(str(side)), back=redirect("why_side", plan_id, side_id))
    asked = questions_of(plan, str(side))
    context = {
        "plan": plan, "side": side, "planned": planned, "form": form, "busy": any(one.busy for one in asked),
        "main_ways": [(choices[piece][0], planned.ways[piece]) for piece in choices if piece in planned.ways],
        "asked": [(one, _said(one), _products(one)) for one in asked],
    }  # fmt: skip
    return render(request, "plan/why_side.html", context, status=400 if request.method == "POST" else 200)


@require_POST
def ask_more(request: ShopRequest, plan_id: int) -> HttpResponse:
    """One hour, one metre, one day, one side more: each a plan of its own."""
    plan = get_object_or_404(Plan, pk=plan_id)
    return _put(request, plan, "more", {}, back=redirect("one_plan", plan_id))


def _put(
    request: ShopRequest, plan: Plan, what: str, asked: dict[str, str], *, back: HttpResponse
) -> HttpResponse:
    try:
        question = questions.put(plan, what, asked, by=person_of(request))
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return back
    if question.state == PlanState.WAITING:
        questions.answer_apart(question)
    return back


def _said(one: Asked) -> tuple[list[str], list[str]]:
    return changes_said(one.changes, one.side) if one.changes else ([], [])


def _products(one: Asked) -> list[tuple[str, float, float, int]]:
    """The products that move most money: name, sold and ordered kg more, left over kg more, cents more."""
    products = one.changes.products[:MOST_PRODUCTS] if one.changes else ()
    return [
        (product_name(each), each.sold_kg + each.ordered_kg, each.leftover_kg, each.cents)
        for each in products
    ]
