"""The forecast pages: what a side will yield, and what it would yield broken another way."""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.journey import USUAL_STYLE
from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.forecast.forms import DayForm, wish_of
from gambrel.shop.records.models import Side, SideState
from gambrel.shop.records.selectors import forecast as selector
from gambrel.shop.records.selectors.forecast_ways import side_on_rail
from gambrel.shop.records.services import forecast as service


@require_GET
def forecasts(request: ShopRequest) -> HttpResponse:
    """Every hanging side with where its ways come from."""
    return render(request, "forecast/forecasts.html", {"lines": selector.forecast_lines(today=today())})


def _side(side_id: int) -> Side:
    return get_object_or_404(Side.objects.select_related("animal__supplier"), pk=side_id)


def _day(request: ShopRequest) -> tuple[DayForm, date | None]:
    """The day asked for, where one is."""
    form = DayForm(request.GET if request.GET.get("on") else None, today=today())
    return form, form.cleaned_data["on"] if form.is_bound and form.is_valid() else None


@require_GET
def forecast(request: ShopRequest, side_id: int) -> HttpResponse:
    """One side, piece by piece; with a style or ways in the address, beside it what they would change."""
    side = _side(side_id)
    form, on = _day(request)
    try:
        page = selector.forecast_page(side, request.shop, wish_of(request.GET, on), today=today())
    except CannotDo as refusal:
        context = {"side": side, "findings": refusal.findings}
        return render(request, "forecast/no_forecast.html", context, status=409)
    if not form.is_bound:
        form = DayForm(today=today(), initial={"on": page.on})
    may_keep = side.state == SideState.HANGING
    context = {"page": page, "form": form, "may_keep": may_keep, "usual": USUAL_STYLE}
    return render(request, "forecast/forecast.html", context, status=400 if form.errors else 200)


@require_POST
def keep_ways(request: ShopRequest, side_id: int) -> HttpResponse:
    """From now on the side is to be broken as chosen; the plan keeps it, too."""
    side, wish = _side(side_id), wish_of(request.POST, None)
    try:
        hanging = side_on_rail(side, request.shop, []).hanging
        service.keep_choice(side, hanging, request.shop, style=wish.style or USUAL_STYLE, ways=wish.ways,
                            by=person_of(request), why=request.POST.get("why", "")[:200])  # fmt: skip
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("forecast", side_id)
    messages.success(request, _("Kept for %(side)s. The next plan keeps it, too.") % {"side": side})
    return redirect("forecast", side_id)


@require_POST
def leave_ways(request: ShopRequest, side_id: int) -> HttpResponse:
    side = _side(side_id)
    try:
        service.leave_to_plan(side, by=person_of(request))
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("forecast", side_id)
    messages.success(request, _("Left to the plan again."))
    return redirect("forecast", side_id)


@require_GET
def forecast_sheet(request: ShopRequest, side_id: int) -> HttpResponse:
    """The forecast to print."""
    side = _side(side_id)
    _, on = _day(request)
    try:
        page = selector.forecast_page(side, request.shop, selector.Wish(on=on), today=today())
        pdf = selector.forecast_sheet_pdf(page, request.shop, paper=paper_of(request), today=today())
    except CannotDo as refusal:
        context = {"side": side, "findings": refusal.findings}
        return render(request, "forecast/no_forecast.html", context, status=409)
    return pdf_answer(pdf, f"forecast-{side.pk}")
