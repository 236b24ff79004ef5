"""The counter: scan and sell, take back, the takings of a day, and its lines for a till."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode
from uuid import UUID, uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.files.sheets.csv_out import csv_bytes
from gambrel.measures import CannotDo, Finding
from gambrel.measures.money import show_money
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.counter.forms import BackForm, DayForm, ScanForm, TillForm
from gambrel.shop.pages.packs.words import EVENT_NAMES
from gambrel.shop.records.models import Customer, Demand, Pack
from gambrel.shop.records.pack_money import asked_cents
from gambrel.shop.records.selectors import counter as selector
from gambrel.shop.records.selectors.scan import packs_meant
from gambrel.shop.records.services import counter as service


@require_GET
def counter(request: ShopRequest) -> HttpResponse:
    """One customer at a time: `?ticket=` goes on with what was begun, `?customer=` with who it is."""
    ticket, customer = _uuid(request.GET.get("ticket", "")) or uuid4(), request.GET.get("customer", "")
    form = ScanForm(initial={"ticket": ticket, "customer": customer if customer.isdecimal() else ""})
    return _show(request, ticket, form)


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _show(
    request: ShopRequest, ticket: UUID, form: ScanForm, *, findings: tuple[Finding, ...] = (),
    several: tuple[Pack, ...] = (), status: int = 200,
) -> HttpResponse:  # fmt: skip
    choices = [(one, asked_cents(one, request.shop)) for one in several]
    lines = selector.ticket_page(ticket)
    context = {"form": form, "page": lines, "findings": findings, "several": choices, "events": EVENT_NAMES}
    return render(request, "counter/counter.html", context, status=status)


@require_POST
def counter_sell(request: ShopRequest) -> HttpResponse:
    """One scan, one sale. A code that is on several packs asks which."""
    form = ScanForm(request.POST)
    ticket = _uuid(request.POST.get("ticket", "")) or uuid4()
    if not form.is_valid():
        return _show(request, ticket, form, status=400)
    data = form.cleaned_data
    try:
        pack = packs_meant(data["code"], request.shop, today=today()).packs
        if len(pack) != 1:
            return _show(
                request, ticket, form, several=pack, findings=() if pack else _gone(data["code"]), status=409
            )
        sold = service.sell(
            pack[0], request.shop, key=data["key"], ticket=ticket, by=person_of(request), cents=data["price"],
            why=data["why"], customer=data["customer"],
        )  # fmt: skip
    except CannotDo as refusal:
        return _show(request, ticket, form, findings=tuple(refusal.findings), status=409)
    said = {"piece": cut_said(pack[0].slug, pack[0].lot.species), "money": show_money(sold.cents)}
    messages.success(request, _("%(piece)s, %(money)s") % said)
    return redirect(_at(ticket, data["customer"]))


def _gone(code: str) -> tuple[Finding, ...]:
    return (Finding("code", code, "a pack that is here", "Scan it again, or type the pack's number."),)


def _at(ticket: UUID, customer: Customer | None) -> str:
    asked = {"ticket": str(ticket), **({"customer": customer.pk} if customer else {})}
    return f"{reverse('counter')}?{urlencode(asked)}"


@get_or_post
def counter_back(request: ShopRequest) -> HttpResponse:
    """A pack comes back, with its money."""
    code = request.GET.get("code", "")[:40]
    form = BackForm(request.POST if request.method == "POST" else None, initial={"code": code})
    findings: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            packs = packs_meant(data["code"], request.shop, today=today()).packs
            if len(packs) == 1:
                line = service.take_back(packs[0], key=data["key"], ticket=data["ticket"], by=person_of(request),
                                         why=data["why"], sell_again=data["becomes"] == "again")  # fmt: skip
                messages.success(request, _("Give back %(money)s.") % {"money": show_money(line.cents)})
                return redirect(_at(data["ticket"], None))
            findings = (
                Finding("code", data["code"], "one pack", "Type the number that stands on the pack."),
            )
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
    return form_page(request, "counter/counter_back.html", {"form": form, "findings": findings})


@require_GET
def counter_day(request: ShopRequest) -> HttpResponse:
    """The takings of today, or of `?on=`; and what sold at which step of the price in the last week."""
    form = DayForm(request.GET if "on" in request.GET else None, initial={"on": today()})
    on = form.cleaned_data["on"] if form.is_bound and form.is_valid() else today()
    context: dict[str, Any] = {
        "form": form, "page": selector.day_page(on), "events": EVENT_NAMES,
        "steps": [one for one in selector.sold_at_steps(now(), list(Demand.objects.all())) if one.sold_kg > 0],
    }  # fmt: skip
    return render(request, "counter/counter_day.html", context, status=400 if form.errors else 200)


@require_GET
def counter_till(request: ShopRequest) -> HttpResponse:
    """Every line of money from `?first=` to `?last=` as CSV; of today where nothing is said."""
    sent = "first" in request.GET or "last" in request.GET
    form = TillForm(request.GET if sent else {"first": today(), "last": today()})
    if not form.is_valid():
        context = {"form": DayForm(initial={"on": today()}), "till_form": form, "page": selector.day_page(today()),
                   "events": EVENT_NAMES, "steps": []}  # fmt: skip
        return render(request, "counter/counter_day.html", context, status=400)
    first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    table = csv_bytes(selector.till_table(first, last))
    return HttpResponse(table, content_type="text/csv; charset=utf-8",
                        headers={"Content-Disposition": f'attachment; filename="till-{first}-{last}.csv"'})  # fmt: skip
