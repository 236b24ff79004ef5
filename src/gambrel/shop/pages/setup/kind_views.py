"""The kinds that come to the shop: the four, and its own."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import CannotDo, Finding
from gambrel.measures.units import lb_from_kg
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.answers import get_or_post
from gambrel.shop.pages.base.refusals import tell_findings
from gambrel.shop.pages.setup.kind_forms import KindForm, typed_as
from gambrel.shop.pages.setup.views import setup_page
from gambrel.shop.records.models import OwnKind
from gambrel.shop.records.services import kinds as service
from gambrel.shop.records.week import kinds_of_shop


@get_or_post
def kinds(request: ShopRequest) -> HttpResponse:
    """The four, the shop's own, and a form for one more."""
    form = KindForm(request.POST or None, unit=request.weight_unit, initial={"like": "grain-finished"})
    found: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            service.save_kind(form.kind_fields(), by=person_of(request))
        except CannotDo as refusal:
            found = tuple(refusal.findings)
        else:
            messages.success(request, _("%(kind)s may be hung now.") % {"kind": form.cleaned_data["name"]})
            return redirect("kinds")
    there = [(kind, kind.slug not in shipped_kinds()) for kind in kinds_of_shop().values()]
    return setup_page(request, "kinds", {"form": form, "found": found, "kinds": there})


@get_or_post
def change_kind(request: ShopRequest, own_kind: str) -> HttpResponse:
    """A kind of the shop's own; the four stay as they are."""
    row = get_object_or_404(OwnKind, slug=own_kind)
    kind = service.kind_named(row)
    hot = (
        f"{lb_from_kg(kind.hot_kg.mean):.0f} lb"
        if request.weight_unit == "lb"
        else f"{kind.hot_kg.mean:.0f} kg"
    )
    form = KindForm(request.POST or None, unit=request.weight_unit,
                    initial=typed_as(kind, row.fields, hot_typed=hot))  # fmt: skip
    found: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        fields = form.kind_fields()
        if "hot_weight" not in form.changed_data and "hot_kg" in row.fields:
            fields["hot_kg"] = row.fields["hot_kg"]  # what the box shows is rounded
        try:
            service.save_kind(fields, by=person_of(request), row=row)
        except CannotDo as refusal:
            found = tuple(refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("kinds")
    said = {"title": kind.name, "part": "kinds", "back": "kinds", "begun": False,
            "remove": reverse("remove_kind", args=[own_kind]), "remove_said": _("Take this kind out")}  # fmt: skip
    return setup_page(request, "part", {"form": form, "found": found, **said})


@require_POST
def remove_kind(request: ShopRequest, own_kind: str) -> HttpResponse:
    """Out of the list, where nothing is of it."""
    try:
        service.remove_kind(get_object_or_404(OwnKind, slug=own_kind), by=person_of(request))
    except CannotDo as refusal:
        tell_findings(request, refusal.findings)
        return redirect("change_kind", own_kind)
    messages.success(request, _("Taken out."))
    return redirect("kinds")
