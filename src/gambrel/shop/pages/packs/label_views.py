"""Labels as PDF, refused with the rule named; what stands on all of them; which rules hold, by whose word."""

from __future__ import annotations

from uuid import uuid4

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _

from gambrel.measures import CannotDo
from gambrel.sell.rules import shipped_rules
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import get_or_post, pdf_answer
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.packs.label_forms import LabelShopForm, RuleForm
from gambrel.shop.records.labels import USUAL_SIZE, book_of, labels_of, labels_sheet
from gambrel.shop.records.models import Lot, Pack, RuleWord
from gambrel.shop.records.selectors.packs import packs_to_label
from gambrel.shop.records.services import labels as service


@get_or_post
def label(request: ShopRequest, pack_id: int) -> HttpResponse:
    """The label of one pack; asked by a form, that it was printed is kept with the pack."""
    rows = Pack.objects.select_related("lot__cutting__side__animal", "lot__batch__clean_up")
    return _sheet(request, [get_object_or_404(rows, pk=pack_id)], name=f"label-{pack_id}")


@get_or_post
def lot_labels(request: ShopRequest, lot_id: int) -> HttpResponse:
    """Labels of every pack of a lot that is on hand and has none yet; `?all=1` of those that have one too."""
    lot = get_object_or_404(Lot, pk=lot_id)
    packs = packs_to_label(lot, again=request.GET.get("all") == "1")
    if not packs:
        messages.warning(request, _("Every pack of this lot has its label."))
        return redirect("pack_lot", lot.pk)
    return _sheet(request, packs, name=f"labels-{lot.code}")


def _sheet(request: ShopRequest, packs: list[Pack], *, name: str) -> HttpResponse:
    asked = request.GET.get("place", "")
    first_place = int(asked) if asked.isascii() and asked.isdigit() and 0 < len(asked) < 3 else 1
    service.number_items(packs)
    try:
        labels = labels_of(packs, request.shop, today=today())
        pdf = labels_sheet(labels, request.shop, made_on=today(), first_place=max(1, first_place))
    except CannotDo as refusal:
        context = {"packs": packs, "findings": refusal.findings}
        return render(request, "packs/label_refused.html", context, status=409)
    if request.method == "POST":
        service.printed(packs, key=uuid4(), by=person_of(request), size=request.shop.label_size)
    return pdf_answer(pdf, name)


@get_or_post
def label_shop(request: ShopRequest) -> HttpResponse:
    """What stands on every label."""
    shop = request.shop
    names = ("address", "country", "label_size", "code_layout", "gs1_prefix", "establishment", "label_stock",
             "nutrition_exempt_why")  # fmt: skip
    initial = {name: getattr(shop, name) for name in names}
    initial["label_size"] = initial["label_size"] or USUAL_SIZE
    form = LabelShopForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        service.save_label_shop(shop, form.cleaned_data, by=person_of(request))
        messages.success(request, _("Kept."))
        return redirect("label_shop")
    return render(
        request, "packs/label_shop.html", {"form": form}, status=400 if request.method == "POST" else 200
    )


@get_or_post
def label_rules(request: ShopRequest) -> HttpResponse:
    """Every rule with its source and whether it holds; a word on one of them needs a name and a reason."""
    form = RuleForm(request.POST if request.method == "POST" else None, initial={"since": today()})
    if request.method == "POST" and form.is_valid():
        data = form.cleaned_data
        try:
            service.say_of_rule(data["slug"], on=data["on"] == "1", who=data["who"], why=data["why"],
                                since=data["since"], by=person_of(request))  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("label_rules")
    book = book_of(request.shop, today=today())
    context = {
        "form": form, "rules": [(rule, book.get(slug) is not None) for slug, rule in shipped_rules().items()],
        "words": RuleWord.objects.select_related("by").order_by("-since", "-pk"),
    }  # fmt: skip
    return render(request, "packs/label_rules.html", context, status=400 if request.method == "POST" else 200)
