"""Orders: what is promised, whether the plan covers it; take, change, hand over, cancel."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from gambrel.measures import CannotDo
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.orders.forms import ChangeOrderForm, CloseOrderForm, NewOrderForm
from gambrel.shop.pages.setup.typed import price_typed, weight_typed
from gambrel.shop.records.models import Order
from gambrel.shop.records.selectors.orders import order_page, orders_page
from gambrel.shop.records.services import orders as service
from gambrel.shop.records.week import kinds_of_shop


@require_GET
def orders(request: ShopRequest) -> HttpResponse:
    return render(request, "orders/orders.html", {"page": orders_page(on=today())})


@require_GET
def order(request: ShopRequest, order_id: int) -> HttpResponse:
    one = get_object_or_404(Order.objects.select_related("customer", "taken_by"), pk=order_id)
    return render(request, "orders/order.html", {"page": order_page(one, on=today())})


@get_or_post
def new_order(request: ShopRequest) -> HttpResponse:
    kinds = dict(kinds_of_shop())
    form = NewOrderForm(request.POST or None, kinds=kinds, unit=request.weight_unit, initial={"must": True})
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        made = service.take_order(
            customer=said["customer"], contact=said["contact"], slug=said["slug"],
            kinds=service.kinds_of_group(said["group"], kinds), weight_kg=said["weight"], by_day=said["by_day"],
            price_cents_per_kg=said["price"], must=said["must"], shelf_days=said["shelf_days"],
            out_of_state=said["out_of_state"], by=person_of(request),
        )  # fmt: skip
        messages.success(request, _("Order %(code)s is taken.") % {"code": made.code})
        return redirect("order", made.pk)
    return form_page(request, "orders/new_order.html", {"form": form})


@get_or_post
def change_order(request: ShopRequest, order_id: int) -> HttpResponse:
    one = get_object_or_404(Order, pk=order_id)
    unit = request.weight_unit
    initial = {"weight": weight_typed(float(one.weight_kg), unit), "by_day": one.by_day, "must": one.must,
               "price": price_typed(one.price_cents_per_kg, unit)}  # fmt: skip
    form = ChangeOrderForm(request.POST or None, unit=request.weight_unit, initial=initial)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            same = {name for name in ("weight", "price") if form[name].data == initial[name]}
            service.change_order(
                one, weight_kg=one.weight_kg if "weight" in same else said["weight"], by_day=said["by_day"],
                price_cents_per_kg=one.price_cents_per_kg if "price" in same else said["price"],
                must=said["must"], by=person_of(request), why=said["why"],
            )  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept. Plan again to see whether it is covered."))
            return redirect("order", order_id)
    return form_page(request, "orders/change_order.html", {"form": form, "order": one})


@get_or_post
def close_order(request: ShopRequest, order_id: int) -> HttpResponse:
    """Handed over, or cancelled with the reason."""
    one = get_object_or_404(Order, pk=order_id)
    form = CloseOrderForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            service.close_order(one, **form.cleaned_data, by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("orders")
    return form_page(request, "orders/close_order.html", {"form": form, "order": one})
