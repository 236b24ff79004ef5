"""Packs of a lot weighed again, and what their weights say of the labels."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.measures import CannotDo, Finding
from gambrel.measures.scale import read_scale
from gambrel.measures.units import NotAQuantity
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.base.forms import KeyedForm
from gambrel.shop.pages.packs.forms import exact_kg
from gambrel.shop.records.models import Lot
from gambrel.shop.records.selectors.scan import packs_meant
from gambrel.shop.records.services import net_weights as service
from gambrel.shop.records.services.net_weights import WeighedAgain

MOST_LINES = 60


class WeighedForm(KeyedForm):
    """A pack and what the scale says, one a line."""

    lines = forms.CharField(
        label=gettext_lazy("Pack and its weight with the packing, one a line: 4711 1.52 lb"), max_length=4000,
        widget=forms.Textarea(attrs={"rows": 8, "autocomplete": "off", "spellcheck": "false", "autofocus": True}),
    )  # fmt: skip


@get_or_post
def check_weights(request: ShopRequest, lot_id: int) -> HttpResponse:
    """A sample weighed again; a lot that fails is held."""
    lot = get_object_or_404(Lot, pk=lot_id)
    form = WeighedForm(request.POST or None)
    context: dict[str, Any] = {"lot": lot, "form": form, "findings": (), "checked": None}
    if request.method == "POST" and form.is_valid():
        sample, findings = _sample(request, form.cleaned_data["lines"])
        if not findings:
            try:
                context["checked"] = service.check_net_weights(
                    lot, sample, request.shop, key=form.cleaned_data["key"], by=person_of(request)
                )
            except CannotDo as refusal:
                findings = list(refusal.findings)
            else:
                return render(request, "packs/check_weights.html", {**context, "form": WeighedForm()})
        context["findings"] = findings
    return form_page(request, "packs/check_weights.html", context)


def _sample(request: ShopRequest, text: str) -> tuple[list[WeighedAgain], list[Finding]]:
    """The lines read, or everything that is wrong with them."""
    sample: list[WeighedAgain] = []
    findings: list[Finding] = []
    lines = [line.split(maxsplit=1) for line in text.splitlines() if line.strip()]
    if len(lines) > MOST_LINES:
        findings.append(Finding("sample", f"{len(lines)} packs", f"at most {MOST_LINES}", "Weigh fewer."))
    for number, words in enumerate(lines[:MOST_LINES], 1):
        where = f"line {number}"
        reading = read_scale(words[1], bare_unit=request.weight_unit) if len(words) == 2 else None
        if reading is None or isinstance(reading, NotAQuantity):
            findings.append(
                Finding(where, " ".join(words)[:40], _("a pack's number and its weight"), _("Type both."))
            )
            continue
        try:
            packs = packs_meant(words[0], request.shop, today=today()).packs
        except CannotDo as refusal:
            findings.extend(refusal.findings)
            continue
        if len(packs) == 1:
            sample.append(WeighedAgain(packs[0], exact_kg(reading)))
        else:
            findings.append(
                Finding(where, words[0][:40], "one pack", "Type the number that stands on the pack.")
            )
    return sample, findings
