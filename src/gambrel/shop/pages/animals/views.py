"""Animals and suppliers: find one, see what came of it, put its bill right."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.measures import CannotDo, Finding
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.animals.forms import BillForm, SupplierForm
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.records.models import Animal, Supplier
from gambrel.shop.records.selectors.animals import animal_page, animals_page, suppliers_page
from gambrel.shop.records.services.animals import note_supplier, set_bill
from gambrel.shop.records.week import kinds_of_shop

LONGEST_SOUGHT = 60


@require_GET
def animals(request: ShopRequest) -> HttpResponse:
    sought = " ".join(request.GET.get("sought", "").replace("\x00", "").split())[:LONGEST_SOUGHT]
    page = animals_page(sought=sought, page=_number(request.GET.get("page", "1")))
    kinds = {slug: kind.name for slug, kind in kinds_of_shop().items()}
    return render(request, "animals/animals.html", {"page": page, "sought": sought, "kinds": kinds})


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdecimal() and len(text) < 8 else 1


@require_GET
def animal(request: ShopRequest, animal_id: int) -> HttpResponse:
    one = get_object_or_404(Animal.objects.select_related("supplier", "bill"), pk=animal_id)
    return render(request, "animals/animal.html", {"page": animal_page(one, request.shop)})


@get_or_post
def bill(request: ShopRequest, animal_id: int) -> HttpResponse:
    """The bill of an animal, or another one with the reason."""
    one = get_object_or_404(Animal.objects.select_related("bill"), pk=animal_id)
    has_bill = hasattr(one, "bill")
    form = BillForm(request.POST or None, unit=request.weight_unit, has_bill=has_bill)
    found: tuple[Finding, ...] = ()
    if request.method == "POST" and form.is_valid():
        try:
            set_bill(one, form.paid(), by=person_of(request), why=form.cleaned_data["why"])
        except CannotDo as refusal:
            found = tuple(refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("animal", animal_id)
    return form_page(request, "animals/bill.html", {"form": form, "animal": one, "found": found})


@require_GET
def suppliers(request: ShopRequest) -> HttpResponse:
    return render(request, "animals/suppliers.html", {"lines": suppliers_page()})


@get_or_post
def supplier(request: ShopRequest, supplier_id: int) -> HttpResponse:
    one = get_object_or_404(Supplier, pk=supplier_id)
    form = SupplierForm(request.POST or None, initial={"contact": one.contact, "note": one.note})
    if request.method == "POST" and form.is_valid():
        note_supplier(one, **form.cleaned_data, by=person_of(request))
        messages.success(request, _("Kept."))
        return redirect("suppliers")
    return form_page(request, "animals/supplier.html", {"form": form, "supplier": one})
