"""In and out: tables brought and looked at before they are stored, everything to take along, keys for programs."""

from __future__ import annotations

import csv
import io
import tempfile
from datetime import UTC
from typing import cast
from uuid import UUID

from django.contrib import messages
from django.db import transaction
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.exchange.forms import SAID, BringForm, KeyForm
from gambrel.shop.records import import_files
from gambrel.shop.records.imports import SUBJECTS, Subject
from gambrel.shop.records.models import Device
from gambrel.shop.records.selectors.exchange import exchange_page, workbook, write_zip
from gambrel.shop.records.services import devices, imports

KEPT_IN_MEMORY_BYTES = 8_000_000
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


@require_GET
def exchange(request: ShopRequest) -> HttpResponse:
    return _page(request)


@require_POST
def bring(request: ShopRequest) -> HttpResponse:
    form = BringForm(request.POST, request.FILES)
    if not form.is_valid():
        return _page(request, bring_form=form, status=400)
    table = import_files.keep(form.cleaned_data["table"].read())
    return redirect("look_at_table", form.cleaned_data["subject"], table)


@require_GET
def look(request: ShopRequest, subject: str, table: UUID) -> HttpResponse:
    """Everything that is wrong with a table, before anything of it is stored."""
    return _look(request, _subject(subject), table)


@require_POST
def store(request: ShopRequest, subject: str, table: UUID) -> HttpResponse:
    known, path = _subject(subject), import_files.waiting(table)
    if path is None:
        messages.info(request, _("This table waits no more: it was stored already, or put away."))
        return redirect("exchange")
    try:
        with transaction.atomic():
            count = imports.store(known, path, by=person_of(request))
    except CannotDo:
        return _look(request, known, table, status=400)  # something changed since it was looked at
    import_files.forget(table)
    messages.success(request, _("%(count)d rows are stored.") % {"count": count})
    return redirect("exchange")


@require_POST
def forget(request: ShopRequest, table: UUID) -> HttpResponse:
    import_files.forget(table)
    messages.info(request, _("The table is put away; nothing of it was stored."))
    return redirect("exchange")


@require_GET
def example(request: ShopRequest, subject: str) -> HttpResponse:
    """A table with every column and one row, to be filled in."""
    columns = _subject(subject).columns
    out = io.StringIO(newline="")
    csv.writer(out, lineterminator="\r\n").writerows(
        [[column.name for column in columns], [column.example for column in columns]]
    )
    answer = HttpResponse(out.getvalue().encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{subject}.csv"'
    return answer


@require_GET
def everything_zip(request: ShopRequest) -> HttpResponse:
    out = tempfile.SpooledTemporaryFile(max_size=KEPT_IN_MEMORY_BYTES)  # noqa: SIM115  closed by the answer
    write_zip(out, made_at=now().astimezone(UTC))
    out.seek(0)
    name = f"shop-{today()}.zip"
    sent = FileResponse(out, as_attachment=True, filename=name, content_type="application/zip")
    return cast(HttpResponse, sent)  # an answer like any other, but that it is sent piece by piece


@require_GET
def everything_xlsx(request: ShopRequest) -> HttpResponse:
    answer = HttpResponse(workbook(made_on=today()), content_type=XLSX)
    answer["Content-Disposition"] = f'attachment; filename="shop-{today()}.xlsx"'
    return answer


@require_POST
def make_key(request: ShopRequest) -> HttpResponse:
    """The key is shown on this answer and never again."""
    form = KeyForm(request.POST)
    if not form.is_valid():
        return _page(request, key_form=form, status=400)
    try:
        device, key = devices.make(
            form.cleaned_data["name"], may_write=form.cleaned_data["may_write"], by=person_of(request)
        )
    except CannotDo as refusal:
        add_findings(form, refusal.findings, field="name")
        return _page(request, key_form=form, status=400)
    return render(request, "exchange/key.html", {"device": device, "key": key})


@require_POST
def withdraw_key(request: ShopRequest, device_id: int) -> HttpResponse:
    device = devices.withdraw(get_object_or_404(Device, pk=device_id), by=person_of(request))
    messages.success(request, _("The key of %(name)s opens nothing any more.") % {"name": device.name})
    return redirect("exchange")


def _subject(name: str) -> Subject:
    if name not in SUBJECTS:
        raise Http404
    return SUBJECTS[name]


def _page(
    request: ShopRequest,
    *,
    bring_form: BringForm | None = None,
    key_form: KeyForm | None = None,
    status: int = 200,
) -> HttpResponse:
    said = {
        "page": exchange_page(), "bring_form": bring_form or BringForm(), "key_form": key_form or KeyForm(),
        "subjects": [(name, label, [column.name for column in SUBJECTS[name].columns]) for name, label in SAID.items()],
    }  # fmt: skip
    return render(request, "exchange/exchange.html", said, status=status)


def _look(request: ShopRequest, subject: Subject, table: UUID, *, status: int = 200) -> HttpResponse:
    path = import_files.waiting(table)
    if path is None:
        raise Http404
    said = {"look": imports.look(subject, path, by=person_of(request)), "subject": subject.name, "table": table,
            "label": SAID[subject.name]}  # fmt: skip
    return render(request, "exchange/look.html", said, status=status)
