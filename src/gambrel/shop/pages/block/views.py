"""The block pages: whose turn it is, the side being cut, how it is broken, and its end."""

from __future__ import annotations

from datetime import datetime, time
from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.hang.weighings import Weighing, weighing_oddities, weighing_slips
from gambrel.measures import CannotDo, Finding
from gambrel.plan.week import Hanging
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.names import cut_said, way_said
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.block.forms import BeginForm, FinishForm, WaysForm, WeightForm
from gambrel.shop.pages.block.words import GROUP_NAMES, HALF_NAMES, cautions
from gambrel.shop.pages.shares.words import STYLE_NAMES
from gambrel.shop.records.models import Cutting, Side
from gambrel.shop.records.selectors import block as selector
from gambrel.shop.records.selectors.block_expected import hanging_animal, ways_for, ways_open
from gambrel.shop.records.services import block as service


@require_GET
def block(request: ShopRequest) -> HttpResponse:
    """Today's sides, one after another."""
    midnight = timezone.make_aware(datetime.combine(today(), time.min))
    page = selector.block_page(today(), day_began=midnight)
    return render(request, "block/block.html", {"page": page, "halves": HALF_NAMES, "cautions": cautions()})


@get_or_post
def begin_cutting(request: ShopRequest, side_id: int) -> HttpResponse:
    """Weigh a side off the rail and put it on the block; a weight that is hardly true is asked about."""
    side = get_object_or_404(Side.objects.select_related("animal", "rail__room"), pk=side_id)
    there = Cutting.objects.filter(side=side).first()
    if there is not None:
        return redirect("cutting", there.pk)
    hanging = hanging_animal(side)
    styles = [
        ("", _("as planned, or as usual")),
        *((name, str(STYLE_NAMES.get(name, name))) for name in shipped_tree().styles),
    ]
    form = BeginForm(
        request.POST if request.method == "POST" else None, unit=request.weight_unit, styles=styles
    )
    doubts: list[Finding] = []
    if request.method == "POST" and form.is_valid():
        typed, reading = form.cleaned_data["typed"]
        doubts = [] if form.cleaned_data["sure"] else off_rail_doubts(side, hanging, float(reading.weight_kg))
        if not doubts:
            ways, _origin, _changed = ways_for(side, hanging, request.shop, style=form.cleaned_data["style"])
            try:
                begun = service.begin(side, weight_kg=reading.weight_kg, typed=typed, ways=ways,
                                      by=person_of(request), key=form.cleaned_data["key"])  # fmt: skip
            except CannotDo as refusal:
                doubts = list(refusal.findings)
            else:
                return redirect("cutting", begun.pk)
    _ways, origin, changed = ways_for(side, hanging, request.shop)
    context = {"side": side, "hanging": hanging, "form": form, "doubts": doubts, "origin": origin, "changed": changed,
               "half": HALF_NAMES[side.half], "expected": _expected_today(side, hanging)}  # fmt: skip
    return render(
        request, "block/begin_cutting.html", context, status=400 if request.method == "POST" else 200
    )


def _expected_today(side: Side, hanging: Hanging) -> Any:
    hot_kg = float(side.hot_kg)
    loss, hung_days = hanging.loss(hot_kg), max(0, (today() - hanging.killed).days)
    return loss.weighed_share(hung_days).times(hot_kg) if hung_days <= loss.last_day else None


def off_rail_doubts(side: Side, hanging: Hanging, weight_kg: float) -> list[Finding]:
    """What cannot be true or is unlikely of a side's weight today; nothing is refused."""
    hot_kg, hung_days = float(side.hot_kg), float(max(0, (today() - hanging.killed).days))
    loss = hanging.loss(hot_kg)
    weighing = [Weighing(hung_days, weight_kg, str(side))]
    found = list(weighing_slips(weighing, side_hot_kg=hot_kg, model=loss))
    return found or list(weighing_oddities(weighing, side_hot_kg=hot_kg, model=loss))


@require_GET
def cutting(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """The side on the block. `?piece=` chooses the piece to be weighed; `?part=1` gives only what changes."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    piece = request.GET.get("piece", "")
    form = WeightForm(unit=request.weight_unit, initial={"slug": piece if piece in shipped_cuts() else ""})
    return show_cutting(request, found, form)


def cuttings() -> Any:
    return Cutting.objects.select_related("side__animal", "begun_by", "ended_by").prefetch_related("lots")


def show_cutting(
    request: ShopRequest, found: Cutting, form: WeightForm, *, findings: tuple[Finding, ...] = (),
    doubts: tuple[Finding, ...] = (), said: str = "", status: int = 200,
) -> HttpResponse:  # fmt: skip
    """The page of a side, or its changing parts where a script asks for them."""
    page = selector.cutting_page(found, request.shop)
    slug = str(form["slug"].value() or "")
    context = {
        "page": page, "form": form, "findings": findings, "doubts": doubts, "said": said, "chosen": slug,
        "target": page.targets.get(slug), "others": selector.other_pieces(page),
        "named_groups": [(GROUP_NAMES.get(name, name), targets) for name, targets in page.groups],
        "half": HALF_NAMES[page.side.half], "cautions": cautions(),
    }  # fmt: skip
    part = request.headers.get("X-Part") == "1"
    return render(request, "block/_work.html" if part else "block/cutting.html", context, status=status)


@get_or_post
def finish_cutting(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """What is missing is named; where the balance does not hold, the side is finished with a reason."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    if found.ended_at is not None:
        return redirect("cutting", found.pk)
    page = selector.cutting_page(found, request.shop)
    form = FinishForm(request.POST if request.method == "POST" else None, needs_reason=not page.balance.holds)
    if request.method == "POST" and form.is_valid():
        figures = {"begun_kg": str(found.begun_kg), "weighed_kg": f"{page.balance.weighed_kg:.3f}",
                   "missing_kg": f"{page.balance.missing_kg:.3f}"}  # fmt: skip
        service.finish(found, by=person_of(request), why=form.cleaned_data["why"], figures=figures)
        messages.success(request, _("%(side)s is cut.") % {"side": found.side})
        return redirect("block")
    return form_page(request, "block/finish_cutting.html", {"page": page, "form": form,
                  "half": HALF_NAMES[page.side.half]})  # fmt: skip


@get_or_post
def cutting_ways(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """Say how the side is really broken, where it is another way than planned."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    hanging = hanging_animal(found.side)
    species = hanging.animal.species
    pieces = [(piece, cut_said(piece, species), [(name, way_said(name)) for name in names])
              for piece, names in ways_open(found, hanging, request.shop).items()]  # fmt: skip
    form = WaysForm(request.POST if request.method == "POST" else None, pieces=pieces, initial=found.ways)
    if request.method == "POST" and form.is_valid():
        service.break_otherwise(found, ways={**found.ways, **form.cleaned_data}, by=person_of(request))
        messages.success(request, _("Kept. What is expected of each piece follows these ways."))
        return redirect("cutting", found.pk)
    return form_page(request, "block/cutting_ways.html", {"cutting": found, "form": form})


@require_POST
def put_back(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """A side that was begun by mistake goes back to its rail."""
    found = get_object_or_404(cuttings(), pk=cutting_id)
    try:
        side = service.put_back(found, by=person_of(request))
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("cutting", cutting_id)
    messages.success(request, _("%(side)s hangs again.") % {"side": side})
    return redirect("block")
