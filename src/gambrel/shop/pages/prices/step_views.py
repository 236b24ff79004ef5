"""What the counter takes at which price: the list of products, one product's steps, a new one, one taken out."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import now
from gambrel.shop.names import kind_said
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.prices.forms import StepsForm, initial_of
from gambrel.shop.records.models import Demand
from gambrel.shop.records.selectors.counter import sold_at_steps
from gambrel.shop.records.selectors.prices import group_name, species_of
from gambrel.shop.records.services import prices as service
from gambrel.shop.records.week import kinds_of_shop


@require_GET
def price_steps(request: ShopRequest) -> HttpResponse:
    """The products of one group of kinds, chosen by `?group=`."""
    kinds, demands = kinds_of_shop(), list(Demand.objects.all())
    groups = list(dict.fromkeys(one.group for one in demands))
    asked = request.GET.get("group", "")
    group = asked if asked in groups else next(iter(groups), "")
    shown = [one for one in demands if one.group == group]
    sold = sold_at_steps(now(), shown)
    rows = [(one, species_of(one.kinds, kinds), found) for one, found in zip(shown, sold, strict=True)]
    context = {"rows": rows, "group": group, "groups": [(one, group_name(one, kinds)) for one in groups]}
    return render(request, "prices/price_steps.html", context)


@get_or_post
def price_step(request: ShopRequest, demand_id: int) -> HttpResponse:
    """Change what the counter takes of one product."""
    return _edit(request, get_object_or_404(Demand, pk=demand_id))


@get_or_post
def new_price_step(request: ShopRequest) -> HttpResponse:
    """Another product for the counter."""
    return _edit(request, None)


def _edit(request: ShopRequest, demand: Demand | None) -> HttpResponse:
    kinds = [(slug, kind_said(kind.name)) for slug, kind in kinds_of_shop().items()]
    initial = initial_of(demand, request.weight_unit) if demand else {"shelf_days": 5}
    form = StepsForm(request.POST if request.method == "POST" else None, unit=request.weight_unit, kinds=kinds,
                     initial=initial)  # fmt: skip
    findings: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            service.save_demand(
                form.figures(), kinds=form.cleaned_data["kinds"], by=person_of(request), demand=demand
            )
        except CannotDo as refusal:
            findings = tuple(refusal.findings)
        else:
            messages.success(request, _("Kept. The next plan takes it so."))
            return redirect("price_steps")
    context = {"form": form, "demand": demand, "findings": findings}
    return render(request, "prices/price_step.html", context, status=400 if request.method == "POST" else 200)


@require_POST
def remove_price_step(request: ShopRequest, demand_id: int) -> HttpResponse:
    """The counter sells it no more."""
    service.remove_demand(get_object_or_404(Demand, pk=demand_id), by=person_of(request))
    messages.success(request, _("Taken out."))
    return redirect("price_steps")
