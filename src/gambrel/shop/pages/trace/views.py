"""Back to the animals, forward to every pack and buyer; the recall sheet; lots held; the drill."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import get_or_post, paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.packs.words import EVENT_NAMES, PLACE_NAMES
from gambrel.shop.pages.trace.forms import DrillForm, EndForm, FoundForm, HoldForm, TraceForm
from gambrel.shop.pages.trace.sheet import sheet_of
from gambrel.shop.pages.trace.words import LINE_NAMES
from gambrel.shop.records.models import Drill
from gambrel.shop.records.selectors import trace as selector
from gambrel.shop.records.selectors.scan import LONGEST, packs_of_lines
from gambrel.shop.records.selectors.trace import PackGroup, RecallPage, TracedPack
from gambrel.shop.records.services import trace as service


@require_GET
def trace(request: ShopRequest) -> HttpResponse:
    """`?code=` is what is traced; with `wide` everything of its animals."""
    form = TraceForm(request.GET if "code" in request.GET else None)
    if not form.is_bound:
        return _nothing_traced(request, form)
    try:
        page = _page(request, request.GET)
    except CannotDo as refusal:
        return _nothing_traced(request, form, refusal.findings)
    context = {"form": form, "page": page, **_more(page), "asked": urlencode(_asked(page))}
    return render(request, "trace/trace.html", context)


def _nothing_traced(request: ShopRequest, form: TraceForm, findings: Sequence[Finding] = ()) -> HttpResponse:
    """The form, the drills, and why nothing is shown."""
    context = {"form": form, "page": None, "findings": findings, "drills": selector.drills()}
    return render(request, "trace/trace.html", context, status=404 if findings else 200)


@require_GET
def lot_balance(request: ShopRequest) -> HttpResponse:
    """`?code=`: what went into its lot, or into every lot of an animal, and what became of it."""
    try:
        asked = _looked_for(request.GET)["code"]
        found = selector.lot_balances(asked, request.shop)
    except CannotDo as refusal:
        context: dict[str, Any] = {
            "asked": request.GET.get("code", "")[:LONGEST],
            "findings": refusal.findings,
        }
        return render(request, "trace/balance.html", context, status=404)
    tables = [(one, _named(one.into), _named(one.out)) for one in found]
    return render(request, "trace/balance.html", {"asked": asked, "tables": tables})


def _named(lines: Mapping[str, Decimal]) -> list[tuple[str, Decimal]]:
    """In one order on every page; what is nothing has no line."""
    return [(str(name), lines[what]) for what, name in LINE_NAMES.items() if lines.get(what)]


def _looked_for(data: QueryDict) -> dict[str, Any]:
    """`code` and `wide` as they were asked for."""
    form = TraceForm(data)
    if not form.is_valid():
        raise CannotDo([Finding("trace", data.get("code", "")[:40], "a pack, a lot or an animal's tag",
                                "Scan it, or type its number.")])  # fmt: skip
    return form.cleaned_data


def _page(request: ShopRequest, data: QueryDict) -> RecallPage:
    asked = _looked_for(data)
    return selector.recall_page(asked["code"], request.shop, wide=asked["wide"])


def _asked(page: RecallPage) -> dict[str, str]:
    return {"code": page.asked, **({"wide": "on"} if page.wide else {})}


def _more(page: RecallPage) -> dict[str, Any]:
    initial = {
        "code": page.asked,
        "wide": "on" if page.wide else "",
        "held": "0" if page.is_all_held else "1",
    }
    lists = {name: _lines(getattr(page, name)) for name in ("here", "unnamed", "lost")}
    named = [(customer, _lines(packs)) for customer, packs in page.named]
    return {"lists": lists, "named": named, "hold_form": HoldForm(initial=initial, auto_id="hold_%s"),
            "drill_form": DrillForm(initial=initial, auto_id="drill_%s")}  # fmt: skip


def _lines(packs: Iterable[TracedPack]) -> list[tuple[PackGroup, str]]:
    """Each group with the words for where it is or what became of it."""
    words = {**PLACE_NAMES, **EVENT_NAMES}
    return [(group, str(words.get(group.where, ""))) for group in selector.grouped(packs)]


def _back(page: RecallPage) -> HttpResponse:
    return redirect(f"{reverse('trace')}?{urlencode(_asked(page))}")


@require_GET
def recall_sheet(request: ShopRequest) -> HttpResponse:
    """Everything that a recall needs, as PDF."""
    try:
        page = _page(request, request.GET)
    except CannotDo as refusal:
        return _nothing_traced(request, TraceForm(), refusal.findings)
    pdf = sheet_of(page, request.shop, made_on=today(), paper=paper_of(request))
    return pdf_answer(pdf, f"recall-{today()}")


@require_POST
def hold_lots(request: ShopRequest) -> HttpResponse:
    """Every lot that hangs together with it is held, or let go."""
    form = HoldForm(request.POST)
    try:
        page = _page(request, request.POST)
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("trace")
    if not form.is_valid():
        messages.error(request, _("Write down why, and who said so."))
        return _back(page)
    held = form.cleaned_data["held"] == "1"
    service.hold(page.lots, held=held, why=form.cleaned_data["why"], key=form.cleaned_data["key"],
                 by=person_of(request))  # fmt: skip
    messages.success(request, _("Nothing of these lots is sold from now on.") if held
                     else _("These lots may be sold again."))  # fmt: skip
    return _back(page)


@require_POST
def begin_drill(request: ShopRequest) -> HttpResponse:
    """The clock runs from here."""
    form = DrillForm(request.POST)
    try:
        page = _page(request, request.POST)
        if form.is_valid():
            begun = service.begin_drill(page, key=form.cleaned_data["key"], by=person_of(request))
            return redirect("drill", begun.pk)
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
    return redirect("trace")


@get_or_post
def drill(request: ShopRequest, drill_id: int) -> HttpResponse:
    """Scan what you find; the page says what is still to be found, and where the records say that it lies."""
    found = get_object_or_404(Drill.objects.select_related("begun_by"), pk=drill_id)
    form = FoundForm(request.POST if request.method == "POST" else None)
    findings: list[Finding] = []
    if request.method == "POST" and form.is_valid():
        packs, findings = packs_of_lines(form.cleaned_data["codes"], request.shop, today=today())
        if not findings:
            try:
                service.found_in_drill(found, packs, by=person_of(request))
                return redirect("drill", found.pk)
            except CannotDo as refusal:
                findings = list(refusal.findings)
    context = {"page": selector.drill_page(found), "form": form, "end_form": EndForm(), "findings": findings,
               "places": PLACE_NAMES}  # fmt: skip
    return render(request, "trace/drill.html", context, status=400 if request.method == "POST" else 200)


@require_POST
def end_drill(request: ShopRequest, drill_id: int) -> HttpResponse:
    """The time is kept, with what was learned."""
    found, form = get_object_or_404(Drill, pk=drill_id), EndForm(request.POST)
    note = form.cleaned_data["note"] if form.is_valid() else ""
    service.end_drill(found, note=note, by=person_of(request))
    return redirect("drill", found.pk)
