"""Weights at the block: stored once, asked about when they are doubtful, put right and taken out."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from gambrel.breakdown.doubt import doubts_of
from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.base.putting_right import put_right
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.block.forms import CorrectForm, OffRailForm, TakeOutForm, WeightForm
from gambrel.shop.pages.block.views import cuttings, show_cutting
from gambrel.shop.pages.block.words import doubt_findings, said
from gambrel.shop.records.models import Cutting, ScaleWeight
from gambrel.shop.records.selectors import block as selector
from gambrel.shop.records.services import block as service

STORED = "X-Stored"
"""Header that names the key of a weight that is safe in the records, so that a tablet may forget it."""


LONGEST_GIVEN = 200
"""Characters of an address that are taken into a form."""


@require_POST
def weigh_piece(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """Store one weight. Told doubts first; sent again with `sure` it is stored all the same."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    form = WeightForm(request.POST, unit=request.weight_unit)
    if not form.is_valid():
        return show_cutting(request, found, form, findings=_as_findings(request, form), status=400)
    data = form.cleaned_data
    stored = ScaleWeight.objects.filter(key=data["key"]).first()
    if stored is None:
        if not data["sure"] and (doubts := _doubts(request, found, data["slug"], float(data["weight_kg"]))):
            return show_cutting(request, found, form, doubts=doubts, status=409)
        try:
            stored = service.weigh_piece(
                found, data["slug"], weight_kg=data["weight_kg"], tare_kg=data["tare"], typed=data["text"],
                key=data["key"], by=person_of(request),
            )  # fmt: skip
        except CannotDo as refusal:
            return show_cutting(request, found, form, findings=tuple(refusal.findings), status=400)
    told = _("Stored: %(piece)s, %(weight)s") % {
        "piece": _name(found, stored.slug), "weight": said(float(stored.weight_kg), request.weight_unit)}  # fmt: skip
    if request.headers.get("X-Part") == "1":
        next_form = WeightForm(unit=request.weight_unit, initial={"slug": data["slug"]})
        answer = show_cutting(request, found, next_form, said=told)
        answer.headers[STORED] = str(stored.key)
        return answer
    messages.success(request, told)
    return redirect(f"{reverse('cutting', args=[found.pk])}?piece={data['slug']}#weigh")


def _doubts(request: ShopRequest, found: Cutting, slug: str, weight_kg: float) -> tuple[Finding, ...]:
    page = selector.cutting_page(found, request.shop)
    known = selector.known_of(page, slug, at=now())
    name = cut_said(slug, page.species)
    return tuple(
        doubt_findings(
            doubts_of(weight_kg, known), known, name=name, weight_kg=weight_kg, unit=request.weight_unit
        )
    )


def _as_findings(request: ShopRequest, form: WeightForm) -> tuple[Finding, ...]:
    """A form's errors as findings, so that a script shows what a page would."""
    return tuple(
        Finding(str(form.fields[name].label if name in form.fields else ""), str(form.data.get(name, ""))[:40],
                _("a weight that can be stored"), " ".join(map(str, errors)))
        for name, errors in form.errors.items()
    )  # fmt: skip


def _name(found: Cutting, slug: str) -> str:
    """What the piece is called; a lot knows the species without another question to the records."""
    species = next((lot.species for lot in found.lots.all()), "cattle")
    return cut_said(slug, species)


@get_or_post
def correct_weight(request: ShopRequest, line_id: int) -> HttpResponse:
    """Put a line right: another weight, another piece, or another tare, with the reason. What the address names
    stands in the form already, for whoever has found what is wrong with the line."""
    line = get_object_or_404(ScaleWeight.objects.select_related("by"), pk=line_id)
    found = get_object_or_404(cuttings(), pk=line.cutting_id)
    initial = {"slug": line.slug, "typed": line.typed, "tare": f"{line.tare_kg} kg" if line.tare_kg else ""}
    given = ("slug", "typed", "tare", "why")
    initial |= {name: request.GET[name][:LONGEST_GIVEN] for name in given if name in request.GET}
    form = CorrectForm(
        request.POST if request.method == "POST" else None, unit=request.weight_unit, initial=initial
    )

    def write() -> None:
        data = form.cleaned_data
        service.correct_weight(
            line, slug=data["slug"], weight_kg=data["weight_kg"], tare_kg=data["tare"], typed=data["text"],
            key=data["key"], by=person_of(request), why=data["why"],
        )  # fmt: skip

    def shown() -> dict[str, Any]:
        page = selector.cutting_page(found, request.shop)
        pieces = [*page.targets, *(cut.slug for cut in selector.other_pieces(page))]
        form.fields["slug"].choices = [(slug, cut_said(slug, page.species)) for slug in pieces]  # type: ignore[attr-defined]
        return {"line": line, "page": page, "side": page.side}

    return put_right(request, "block/correct_weight.html", form, write=write, back=("cutting", found.pk),
                     shown=shown)  # fmt: skip


@get_or_post
def correct_off_rail(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """Put the weight off the rail right: everything is balanced against it."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    form = OffRailForm(request.POST if request.method == "POST" else None, unit=request.weight_unit)

    def write() -> None:
        typed, reading = form.cleaned_data["typed"]
        service.weigh_off_rail_again(found, weight_kg=reading.weight_kg, typed=typed, by=person_of(request),
                                     why=form.cleaned_data["why"], key=form.cleaned_data["key"])  # fmt: skip

    return put_right(request, "block/correct_off_rail.html", form, write=write, back=("cutting", found.pk),
                     shown=lambda: {"cutting": found, "side": found.side})  # fmt: skip


@require_POST
def take_out_weight(request: ShopRequest, line_id: int) -> HttpResponse:
    """Undo: a line that says that another should not be there. Sent twice, it is done once."""
    line = get_object_or_404(ScaleWeight, pk=line_id)
    found = get_object_or_404(cuttings(), pk=line.cutting_id)
    form = TakeOutForm(request.POST)
    said_why = form.is_valid()
    key = (form.cleaned_data["key"] if said_why else None) or uuid4()
    why = (form.cleaned_data["why"] if said_why else "") or "undo"
    told = ""
    findings: tuple[Finding, ...] = ()
    try:
        service.take_out(line, key=key, by=person_of(request), why=why)
        told = _("Taken out: %(piece)s, %(weight)s") % {
            "piece": _name(found, line.slug), "weight": said(float(line.weight_kg), request.weight_unit)}  # fmt: skip
    except CannotDo as refusal:
        findings = tuple(refusal.findings)
    if request.headers.get("X-Part") == "1":
        next_form = WeightForm(unit=request.weight_unit, initial={"slug": line.slug})
        return show_cutting(
            request, found, next_form, findings=findings, said=told, status=400 if findings else 200
        )
    tell_findings(request, findings)
    if told:
        messages.success(request, told)
    return redirect("cutting", found.pk)
