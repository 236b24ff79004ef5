"""The cooler log: read a room, put a reading right, print the log."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.answers import form_page, get_or_post, paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.cooler.forms import CorrectReadingForm, ReadingForm
from gambrel.shop.records.models import CoolerReading, CoolerRoom
from gambrel.shop.records.selectors.cooler import LONGEST_DAYS, USUAL_DAYS, cooler_page, log_pdf
from gambrel.shop.records.services.cooler import read_room


@require_GET
def cooler(request: ShopRequest) -> HttpResponse:
    return render(request, "cooler/cooler.html", {"rooms": cooler_page(at=now()), "days": USUAL_DAYS})


@get_or_post
def read_cooler(request: ShopRequest, room_id: int) -> HttpResponse:
    """A new line of the log."""
    room = get_object_or_404(CoolerRoom, pk=room_id)
    form = ReadingForm(request.POST or None, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        read_room(room, at=form.cleaned_data["at"], by=person_of(request), note=form.cleaned_data["note"],
                  key=form.cleaned_data["key"], **form.figures())  # fmt: skip
        messages.success(request, _("Kept."))
        return redirect("cooler")
    return form_page(request, "cooler/read_cooler.html", {"room": room, "form": form})


@get_or_post
def correct_reading(request: ShopRequest, reading_id: int) -> HttpResponse:
    """Put a line right by a new one; the old one stays in the trail."""
    wrong = get_object_or_404(CoolerReading.objects.select_related("room"), pk=reading_id)
    initial = {"at": timezone.localtime(wrong.at).strftime("%Y-%m-%dT%H:%M")}
    form = CorrectReadingForm(request.POST or None, unit=request.weight_unit, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            read_room(wrong.room, at=form.cleaned_data["at"], by=person_of(request), note=form.cleaned_data["note"],
                      key=form.cleaned_data["key"], corrects=wrong, **form.figures())  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Put right."))
            return redirect("cooler")
    return form_page(request, "cooler/correct_reading.html", {"wrong": wrong, "form": form})


@require_GET
def cooler_log(request: ShopRequest, room_id: int) -> HttpResponse:
    """The log of a room as a document, of so many days."""
    room = get_object_or_404(CoolerRoom, pk=room_id)
    asked = request.GET.get("days", "")
    days = min(LONGEST_DAYS, max(1, int(asked))) if asked.isdecimal() and len(asked) < 5 else USUAL_DAYS
    pdf = log_pdf(request.shop, room, at=now(), days=days, paper=paper_of(request))
    return pdf_answer(pdf, f"cooler-{room.pk}-{today()}")
