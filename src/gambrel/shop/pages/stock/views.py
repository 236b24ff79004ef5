"""What is on hand, one pack from the table to the customer, and the count that puts the records right."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.base.refusals import add_findings, tell_findings
from gambrel.shop.pages.packs.words import EVENT_NAMES, PLACE_NAMES
from gambrel.shop.pages.stock.forms import BecameForm, CountForm
from gambrel.shop.records.meat_code import meat_code_of
from gambrel.shop.records.models import OnHand, Pack
from gambrel.shop.records.pack_money import asked_cents
from gambrel.shop.records.selectors import stock as selector
from gambrel.shop.records.selectors.scan import packs_meant, packs_of_lines
from gambrel.shop.records.services import stock as service
from gambrel.shop.records.services.packs import happened


@require_GET
def stock(request: ShopRequest) -> HttpResponse:
    """By place and product; `?code=` finds one pack."""
    code = request.GET.get("code", "")
    if code.strip():
        try:
            meant = packs_meant(code, request.shop, today=today()).packs
        except CannotDo as refusal:
            tell_findings(request, refusal.findings)
        else:
            if len(meant) == 1:
                return redirect("pack", meant[0].pk)
            messages.warning(
                request, _("This code is on several packs: type the number of the one you hold.")
            )
    page = selector.stock_page(at=now(), today=today())
    places = [(PLACE_NAMES[place], place, products) for place, products in page.places]
    past, soon = ([(one, PLACE_NAMES[one.place]) for one in packs] for packs in (page.past, page.soon))
    return render(request, "stock/stock.html", {"page": page, "places": places, "past": past, "soon": soon})


@require_GET
def pack(request: ShopRequest, pack_id: int) -> HttpResponse:
    """One pack and everything that happened to it."""
    return _show_pack(request, _pack(pack_id), None)


@require_POST
def pack_became(request: ShopRequest, pack_id: int) -> HttpResponse:
    """A line about a pack: moved, thrown away, eaten, not found, found."""
    found = _pack(pack_id)
    is_here = OnHand.objects.filter(pack=found).exists()
    form = BecameForm(request.POST, is_here=is_here)
    if form.is_valid():
        data = form.cleaned_data
        try:
            happened(found, data["what"], key=data["key"], at=now(), by=person_of(request), why=data["why"],
                     place=data["place"])  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            said = {"number": found.pk, "what": EVENT_NAMES[data["what"]]}
            messages.success(request, _("Pack %(number)s: %(what)s.") % said)
            return redirect("pack", found.pk)
    return _show_pack(request, found, form)


def _pack(pack_id: int) -> Pack:
    rows = Pack.objects.select_related("lot__cutting__side__animal", "lot__batch", "by")
    return get_object_or_404(rows, pk=pack_id)


def _show_pack(request: ShopRequest, found: Pack, form: BecameForm | None) -> HttpResponse:
    page = selector.pack_page(found)
    events = [(line, EVENT_NAMES[line.what], PLACE_NAMES.get(line.place, "")) for line in page.events]
    code = meat_code_of(found, page.here.place if page.here else "")
    context = {
        "page": page, "events": events, "meat_code": code.text() if code else "",
        "form": form or BecameForm(is_here=page.here is not None),
        "place": PLACE_NAMES[page.here.place] if page.here else None, "asked_cents": asked_cents(found, request.shop),
    }  # fmt: skip
    return render(request, "stock/pack.html", context, status=400 if form is not None else 200)


@get_or_post
def stock_count(request: ShopRequest) -> HttpResponse:
    """Scan what is there; what would change is shown before it is kept."""
    initial = {"place": request.GET.get("place", "case"), "slug": request.GET.get("slug", "")}
    form = CountForm(
        request.POST if request.method == "POST" else None, products=_products(), initial=initial
    )
    context: dict[str, Any] = {"form": form, "findings": (), "count": None}
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        packs, findings = packs_of_lines(data["codes"], request.shop, today=today())
        context["findings"] = findings
        if not findings:
            try:
                if data["sure"]:
                    done = service.count(data["place"], data["slug"], packs, key=data["key"], at=now(),
                                         by=person_of(request))  # fmt: skip
                    there = len(done.there) + len(done.moved) + len(done.found)
                    said = {"there": there, "missing": len(done.missing)}
                    messages.success(request, _("Counted: %(there)s there, %(missing)s not found.") % said)
                    return redirect("stock")
                context["count"] = service.look(data["place"], data["slug"], packs)
            except CannotDo as refusal:
                context["findings"] = list(refusal.findings)
    status = 400 if request.method == "POST" and context["count"] is None else 200
    return render(request, "stock/stock_count.html", context, status=status)


def _products() -> list[tuple[str, str]]:
    rows = OnHand.objects.values_list("slug", "lot__species").distinct().order_by("slug")
    return list({slug: (slug, cut_said(slug, species)) for slug, species in rows}.values())
