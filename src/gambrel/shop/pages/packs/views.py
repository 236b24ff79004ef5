"""The packing table: lots with something left, and one lot weighed into packs."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.measures import CannotDo, Finding
from gambrel.measures.units import KG_PER_LB
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.block.words import said
from gambrel.shop.pages.packs.forms import PackForm
from gambrel.shop.pages.packs.words import GROUP_NAMES, PACKING_NAMES, PLACE_NAMES
from gambrel.shop.records.models import Lot, Pack, Packing, Place
from gambrel.shop.records.selectors import packs as selector
from gambrel.shop.records.selectors.packs import PackLotPage
from gambrel.shop.records.services import packs as service


@require_GET
def packs(request: ShopRequest) -> HttpResponse:
    """Lots of the last weeks; `?lot=` finds an older one by its code."""
    asked = request.GET.get("lot", "").strip()
    if asked:
        found = Lot.objects.filter(code__iexact=asked[:20]).first()
        if found is not None:
            return redirect("pack_lot", found.pk)
        messages.error(request, _("There is no lot %(code)s.") % {"code": asked[:20]})
    lots = selector.lots_to_pack(today())
    context = {"to_pack": [one for one in lots if one.left_kg > selector.DUST_KG],
               "done": [one for one in lots if one.left_kg <= selector.DUST_KG]}  # fmt: skip
    return render(request, "packs/packs.html", context)


@get_or_post
def pack_lot(request: ShopRequest, lot_id: int) -> HttpResponse:
    """One lot; `?piece=` chooses what is packed."""
    lot = get_object_or_404(Lot.objects.select_related("cutting__side__animal", "batch"), pk=lot_id)
    page = selector.pack_lot_page(lot)
    slug = request.GET.get("piece", "")
    piece = page.piece(slug) or next((one for one in page.pieces if not one.is_done), None)
    if piece is None:
        return render(request, "packs/pack_lot.html", _context(page, None, None), status=200)
    post = request.POST if request.method == "POST" else None
    form = PackForm(post, unit=request.weight_unit, cuts=_sold_as(page, piece.slug), is_custom=page.is_custom,
                    initial=_usual(request, page, piece.slug))  # fmt: skip
    findings: tuple[Finding, ...] = ()
    if post is not None and form.is_valid():
        try:
            made = _make(request, page, piece.slug, form.cleaned_data)
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
        else:
            name, weight = cut_said(made.slug, lot.species), said(float(made.net_kg), request.weight_unit)
            messages.success(request, _("Pack %(number)s: %(piece)s, %(weight)s.") % {
                "number": made.pk, "piece": name, "weight": weight})  # fmt: skip
            return redirect(f"{reverse('pack_lot', args=[lot.pk])}?piece={piece.slug}#weigh")
    status = 400 if post is not None else 200
    return render(
        request,
        "packs/pack_lot.html",
        {**_context(page, piece.slug, form), "findings": findings},
        status=status,
    )


def _context(page: PackLotPage, slug: str | None, form: PackForm | None) -> dict[str, Any]:
    return {
        "page": page, "chosen": slug, "piece": page.piece(slug) if slug else None, "form": form,
        "packings": PACKING_NAMES, "places": PLACE_NAMES,
        "groups": [(GROUP_NAMES[name], pieces) for name, pieces in page.groups],
    }  # fmt: skip


def _make(request: ShopRequest, page: PackLotPage, piece: str, data: dict[str, Any]) -> Pack:
    return service.pack(
        page.lot, data["slug"], piece=piece, net_kg=data["net_kg"], tare_kg=data["tare_kg"], key=data["key"],
        at=now(), by=person_of(request), use_by=data["use_by"], packing=data["packing"], place=data["place"],
        price_cents_per_kg=data.get("price"),
    )  # fmt: skip


def _sold_as(page: PackLotPage, piece: str) -> list[tuple[str, str]]:
    """The piece itself first, then whatever has a price for this kind."""
    species = page.lot.species
    others = sorted((cut_said(slug, species), slug) for slug in page.prices.cuts if slug != piece)
    return [(piece, cut_said(piece, species)), *((slug, name) for name, slug in others)]


def _usual(request: ShopRequest, page: PackLotPage, piece: str) -> dict[str, Any]:
    """As the last pack of this lot was: packing, place and tare; the list's price, and the day it keeps to."""
    last = page.packs[0] if page.packs else None
    price = selector.price_of(page.prices, piece, page.lot)
    packing = last.packing if last else Packing.VACUUM
    place = last.place if last else Place.CASE
    return {
        "slug": piece, "packing": packing, "place": place,
        "tare": said(float(last.tare_kg), request.weight_unit) if last and last.tare_kg else "",
        "use_by": selector.keeps_until(page.lot, piece, packing=packing, place=place, packed_on=today()),
        "price": "" if price is None else _price_text(price, request.weight_unit),
    }  # fmt: skip


def _price_text(cents_per_kg: float, unit: str) -> str:
    cents = cents_per_kg * KG_PER_LB if unit == "lb" else cents_per_kg
    return f"{cents / 100:.2f}"
