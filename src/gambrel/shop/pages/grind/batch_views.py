"""A batch: begun, weighed in, closed, tested, and its record printed."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.answers import form_page, get_or_post, paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.block.line_views import STORED
from gambrel.shop.pages.block.words import said
from gambrel.shop.pages.grind.forms import BeginForm, CloseForm, ReasonForm, TestForm, WeighInForm
from gambrel.shop.records.models import Batch, BatchInput
from gambrel.shop.records.selectors import grind as selector
from gambrel.shop.records.services import grind as service


@get_or_post
def begin_batch(request: ShopRequest) -> HttpResponse:
    """With the tubs that the blend asks for, or without any."""
    form = BeginForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            made = service.begin(**form.cleaned_data, by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            return redirect("batch", made.pk)
    return form_page(request, "grind/begin_batch.html", {"form": form})


@require_GET
def batch(request: ShopRequest, batch_id: int) -> HttpResponse:
    return show_batch(request, _batch(batch_id))


def show_batch(
    request: ShopRequest, found: Batch, *, form: WeighInForm | None = None, findings: tuple[Finding, ...] = (),
    told: str = "", status: int = 200,
) -> HttpResponse:  # fmt: skip
    page = selector.batch_page(found, today())
    form = form or WeighInForm(unit=request.weight_unit)
    context = {"page": page, "form": form, "findings": findings, "said": told, "on": today(),
               "chosen": form["slug"].value() or request.GET.get("tub", "")}  # fmt: skip
    return render(request, "grind/batch.html", context, status=status)


@require_POST
def weigh_in(request: ShopRequest, batch_id: int) -> HttpResponse:
    """Store one weight; a tablet is told by a header that it may forget it."""
    found = _batch(batch_id)
    form = WeighInForm(request.POST, unit=request.weight_unit)
    if not form.is_valid():
        findings = tuple(
            Finding(str(form.fields[name].label or name), str(form.data.get(name, ""))[:40],
                    _("a weight that can be stored"), " ".join(map(str, errors)))
            for name, errors in form.errors.items()
        )  # fmt: skip
        return show_batch(request, found, form=form, findings=findings, status=400)
    text, reading = form.cleaned_data["typed"]
    try:
        stored = service.weigh_in(found, form.cleaned_data["slug"], weight_kg=reading.weight_kg, typed=text,
                                  key=form.cleaned_data["key"], by=person_of(request))  # fmt: skip
    except CannotDo as refusal:
        return show_batch(request, found, form=form, findings=tuple(refusal.findings), status=400)
    told = _("Stored: %(weight)s") % {"weight": said(float(stored.weight_kg), request.weight_unit)}
    if request.headers.get("X-Part") == "1":
        answer = show_batch(request, found, told=told)
        answer.headers[STORED] = str(stored.key)
        return answer
    messages.success(request, told)
    return redirect("batch", found.pk)


@get_or_post
def take_out_of_batch(request: ShopRequest, line_id: int) -> HttpResponse:
    """A line that should not be there, with the reason."""
    line = get_object_or_404(
        BatchInput.objects.select_related("batch", "weight", "bought", "carried"), pk=line_id
    )
    form = ReasonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            service.take_out(
                line, key=form.cleaned_data["key"], why=form.cleaned_data["why"], by=person_of(request)
            )
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Taken out; the line stays to be seen."))
            return redirect("batch", line.batch_id)
    return form_page(request, "grind/take_out_of_batch.html", {"form": form, "line": line})


@get_or_post
def close_batch(request: ShopRequest, batch_id: int) -> HttpResponse:
    """What came out; everything that the record lacks is told at once."""
    found = _batch(batch_id)
    form = CloseForm(request.POST or None, unit=request.weight_unit)
    findings = selector.batch_page(found, today()).record.missing()
    if request.method == "POST" and form.is_valid():
        try:
            service.close(found, **form.cleaned_data, by=person_of(request))
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
        else:
            messages.success(request, _("Closed. It is lot %(code)s.") % {"code": found.code})
            return redirect("batch", found.pk)
    context = {"form": form, "batch": found, "findings": findings}
    return form_page(request, "grind/close_batch.html", context)


@get_or_post
def test_batch(request: ShopRequest, batch_id: int) -> HttpResponse:
    """Fat as it was tested."""
    found = _batch(batch_id)
    form = TestForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            service.lean_test(found, **form.cleaned_data, by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept. The lean points of its trim have learned from it."))
            return redirect("batch", found.pk)
    return form_page(request, "grind/test_batch.html", {"form": form, "batch": found})


@require_GET
def grinding_record(request: ShopRequest, batch_id: int) -> HttpResponse:
    """The record as PDF, on letter paper or A4."""
    found = _batch(batch_id)
    pdf = selector.record_pdf(request.shop, found, at=now(), paper=paper_of(request))
    return pdf_answer(pdf, f"grinding-{found.code}")


def _batch(batch_id: int) -> Batch:
    return get_object_or_404(Batch.objects.select_related("clean_up", "begun_by", "ended_by"), pk=batch_id)
