"""The plan pages: the weeks ahead, what binds, what a person settles, yesterday's plan beside today's."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.files.drawing.tried import TriedPicture, tried_svg
from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.answers import form_page, paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.plan.forms import AskForm, PinForm
from gambrel.shop.pages.plan.sayings import easing_said, week_change_said
from gambrel.shop.records.models import Plan, PlanState, Side, SideState
from gambrel.shop.records.selectors import plan as plans
from gambrel.shop.records.selectors.plan_pins import ways_to_settle
from gambrel.shop.records.services import plan as service
from gambrel.shop.records.services import plan_questions as questions

USUAL = {"days": 14, "seconds": 60}


@require_GET
def plan(request: ShopRequest) -> HttpResponse:
    """The plan the shop works by, or the newest where none was accepted yet."""
    service.tell_ended()
    newest, accepted = plans.newest_plan(), plans.accepted_plan()
    shown = newest if newest is not None and newest.state in service.BUSY else accepted or newest
    page = plans.plan_page(shown, at=now()) if shown else None
    return _render(request, page, newest if newest != shown else None)


@require_GET
def one_plan(request: ShopRequest, plan_id: int) -> HttpResponse:
    service.tell_ended()
    questions.tell_ended_questions()
    return _render(request, plans.plan_page(get_object_or_404(Plan, pk=plan_id), at=now()), None)


def _render(
    request: ShopRequest, page: plans.PlanPage | None, newer: Plan | None, form: AskForm | None = None,
    status: int = 200,
) -> HttpResponse:  # fmt: skip
    context = {
        **_looked_into(page),
        "page": page,
        "newer": newer,
        "recent": plans.recent_plans(),
        "accepted": plans.accepted_plan(),
        "form": form or AskForm(initial={"start": today(), **USUAL}),
    }
    return render(request, "plan/plan.html", context, status=status)


def _looked_into(page: plans.PlanPage | None) -> dict[str, object]:
    """How the plan fares on draws, what changed since the plan before, what one more is worth: in words to show."""
    if page is None or page.checks is None or page.more is None:
        return {}
    tried, since = page.checks.tried, page.checks.since
    picture = ""
    if tried is not None:
        low, middle, high = tried.profit_cents
        picture = tried_svg(TriedPicture(
            _("What it may earn"), _("%(draws)d draws of what may come off the sides") % {"draws": tried.draws},
            tried.edges_cents, tried.bars, (("5 %", low), ("50 %", middle), ("95 %", high))))  # fmt: skip
    return {
        "tried": tried,
        "tried_picture": picture,
        "since": since,
        "week_changes": [week_change_said(one) for one in since.week] if since else [],
        "more_lines": [(easing_said(one), one.worth, one.findings) for one in page.more.lines],
    }


@require_POST
def ask_plan(request: ShopRequest) -> HttpResponse:
    """Ask for a plan and go to its page, which says how far it is."""
    form = AskForm(request.POST)
    if not form.is_valid():
        return _render(request, None, plans.newest_plan(), form, status=400)
    entered = form.cleaned_data
    try:
        asked = service.ask(request.shop, by=person_of(request), start=entered["start"], days=entered["days"],
                            seconds=entered["seconds"], safety_share=entered["safety"])  # fmt: skip
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("plan")
    service.solve_apart(asked)
    return redirect("one_plan", asked.pk)


@require_POST
def stop_plan(request: ShopRequest, plan_id: int) -> HttpResponse:
    if service.stop(get_object_or_404(Plan, pk=plan_id), by=person_of(request)):
        messages.success(request, _("Stopped. The plan the shop works by stays as it was."))
    return redirect("one_plan", plan_id)


@require_POST
def take_best(request: ShopRequest, plan_id: int) -> HttpResponse:
    """The best plan so far is good enough: the search ends with it."""
    if not service.take_best(get_object_or_404(Plan, pk=plan_id), by=person_of(request)):
        messages.error(request, _("There is no plan yet to take."))
    return redirect("one_plan", plan_id)


@require_POST
def accept_plan(request: ShopRequest, plan_id: int) -> HttpResponse:
    try:
        service.accept(get_object_or_404(Plan, pk=plan_id), by=person_of(request))
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("one_plan", plan_id)
    messages.success(request, _("The shop works by this plan from now on."))
    return redirect("plan")


@require_GET
def plan_sheet(request: ShopRequest, plan_id: int) -> HttpResponse:
    """The calendar and the cut list of each day, to print."""
    shown = get_object_or_404(Plan, pk=plan_id, state=PlanState.DONE)
    return pdf_answer(plans.plan_sheet_pdf(shown, paper=paper_of(request)), f"plan-{shown.start_on}")


def settle_side(request: ShopRequest, side_id: int) -> HttpResponse:
    """Settle the day or the ways of a hanging animal, or leave them to the planner again."""
    side = get_object_or_404(
        Side.objects.select_related("animal", "pin"), pk=side_id, state=SideState.HANGING
    )
    choices, initial = ways_to_settle(side, trim=request.shop.trim)
    form = PinForm(request.POST or None, choices=choices, initial=initial)
    if request.method == "POST" and form.is_valid():
        service.pin(side, day=form.cleaned_data["day"], ways=form.ways(), by=person_of(request),
                    why=form.cleaned_data["why"], alone=form.cleaned_data["alone"])  # fmt: skip
        messages.success(request, _("Kept. Plan again to see what it makes of it."))
        return redirect("plan")
    return form_page(request, "plan/settle_side.html", {"side": side, "form": form})
