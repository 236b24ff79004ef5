"""The grinder: trim on hand, blends, boxes that were bought, clean-ups."""

from __future__ import annotations

import json
from uuid import uuid4

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.grind import Batch as Blended
from gambrel.grind import GrindPlan
from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now, today
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.grind.forms import (
    ROWS,
    AimForm,
    BeginForm,
    BuyTrimForm,
    CleanUpForm,
    LeanForm,
    TargetForm,
    TubForm,
)
from gambrel.shop.records.selectors.grind import blend_of_tubs, grind_page
from gambrel.shop.records.services import grind as service
from gambrel.shop.records.tubs import Tub, tub_of, tubs_on_hand


@require_GET
def grind(request: ShopRequest) -> HttpResponse:
    return render(
        request,
        "grind/grind.html",
        {"page": grind_page(today(), request.shop), "on": today(), "begin": BeginForm()},
    )


@require_GET
def blend_trim(request: ShopRequest) -> HttpResponse:
    """Targets in the address, so that a blend may be looked at again; nothing is kept."""
    asked = "objective" in request.GET
    aim = AimForm(request.GET if asked else None)
    rows = [TargetForm(request.GET if asked else None, prefix=row, unit=request.weight_unit) for row in ROWS]
    findings: tuple[Finding, ...] = ()
    plan: GrindPlan | None = None
    tubs = tubs_on_hand(today()) if asked else []
    status = 200
    if asked and all([aim.is_valid(), *(row.is_valid() for row in rows)]):
        try:
            plan = _blended(aim, rows, tubs)
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
    elif asked:
        status = 400
    context = {"aim": aim, "rows": rows, "findings": findings, "plan": plan, "tubs": {tub.id: tub for tub in tubs},
               "batches": [_as_begun(one) for one in plan.batches] if plan else []}  # fmt: skip
    return render(request, "grind/blend_trim.html", context, status=status)


def _blended(aim: AimForm, rows: list[TargetForm], tubs: list[Tub]) -> GrindPlan:
    products = [product for row in rows if (product := row.product()) is not None]
    objective = aim.cleaned_data["objective"]
    found = []
    if not products:
        found.append(
            Finding(_("The blend"), _("no product"), _("at least one product"), _("Choose a product."))
        )
    if objective == "most-earned":
        wanted, do = _("a price for each product"), _("Give its price, or use as much as can be.")
        found += [Finding(one.id, _("no price"), wanted, do) for one in products
                  if one.price_cents_per_kg is None and not one.is_custom]  # fmt: skip
    if found:
        raise CannotDo(found)
    age_limit_days = aim.cleaned_data["age_limit_days"]
    return blend_of_tubs(tubs, products, today=today(), objective=objective, age_limit_days=age_limit_days)


def _as_begun(batch: Blended) -> tuple[Blended, dict[str, object]]:
    """A batch of the blend beside the fields that begin it."""
    product = batch.product
    asked = [{"tub": line.trim.id, "kg": round(line.kg, 3)} for line in batch.lines]
    return batch, {"name": product.name.slug, "lean_pct": f"{product.lean_pct:g}", "inspected": product.inspected,
                   "owner_name": product.owner, "asked": json.dumps(asked), "key": uuid4()}  # fmt: skip


@get_or_post
def buy_trim(request: ShopRequest) -> HttpResponse:
    form = BuyTrimForm(request.POST or None, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        service.buy_trim(**form.cleaned_data, at=now(), by=person_of(request))
        messages.success(request, _("Kept."))
        return redirect("grind")
    return form_page(request, "grind/buy_trim.html", {"form": form})


@get_or_post
def say_lean(request: ShopRequest) -> HttpResponse:
    """Pieces without a lean point in their name: what they count as, or that they are not offered."""
    form = LeanForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        service.say_lean(request.shop, form.cleaned_data["slug"], lean_pct=form.cleaned_data["lean_pct"],
                         by=person_of(request))  # fmt: skip
        messages.success(request, _("Kept."))
        return redirect("say_lean")
    return form_page(
        request, "grind/say_lean.html", {"form": form, "said": sorted(request.shop.lean_said.items())}
    )


@get_or_post
def clean_up(request: ShopRequest) -> HttpResponse:
    form = CleanUpForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            service.clean_up(**form.cleaned_data, by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept. A new lot begins."))
            return redirect("grind")
    return form_page(request, "grind/clean_up.html", {"form": form})


@get_or_post
def tub(request: ShopRequest, tub_id: str) -> HttpResponse:
    """One tub: freeze it, thaw it, throw it away."""
    try:
        found = tub_of(tub_id)
    except CannotDo:
        raise Http404(tub_id) from None
    if found.carried is not None:
        raise Http404(tub_id)
    form = TubForm(request.POST or None, initial={"what": "thawed" if found.is_frozen else "frozen"})
    if request.method == "POST" and form.is_valid():
        try:
            service.tub_became(found, form.cleaned_data["what"], key=form.cleaned_data["key"],
                               why=form.cleaned_data["why"], by=person_of(request))  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("grind")
    return form_page(request, "grind/tub.html", {"tub": found, "form": form, "on": today()})
