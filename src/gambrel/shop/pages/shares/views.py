"""Shares of an animal: sold, wished, handed over and billed; and the page that the customer may see."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.measures import CannotDo
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.clock import today
from gambrel.shop.pages.base.answers import form_page, get_or_post, paper_of, pdf_answer
from gambrel.shop.pages.base.refusals import add_findings
from gambrel.shop.pages.shares.forms import CancelForm, HandOverForm, ShareForm, WishesForm, typed_wishes
from gambrel.shop.records.models import OrderState, Share
from gambrel.shop.records.selectors import shares as selector
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.stored import restored
from gambrel.shop.records.week import kinds_of_shop

SHORTEST_TOKEN = 32


@require_GET
def shares(request: ShopRequest) -> HttpResponse:
    return render(request, "shares/shares.html", {"page": selector.shares_page()})


@get_or_post
def new_share(request: ShopRequest) -> HttpResponse:
    animals = selector.animals_for_shares()
    form = ShareForm(request.POST or None, unit=request.weight_unit, animals=animals)
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        animal = next(one for one in animals if str(one.pk) == said["animal"])
        try:
            made = service.agree(
                customer=said["customer"], contact=said["contact"], animal=animal, portion=said["portion"],
                bought_on=said["bought_on"], terms=form.terms(), wishes=form.wishes(), key=said["key"],
                by=person_of(request),
            )  # fmt: skip
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Share %(code)s is sold.") % {"code": made.code})
            return redirect("share", made.pk)
    return form_page(request, "shares/new_share.html", {"form": form})


@require_GET
def share(request: ShopRequest, share_id: int) -> HttpResponse:
    found = _share(share_id)
    page = selector.share_page(found, request.shop)
    link = ""
    if found.token:
        link = request.build_absolute_uri(reverse("share_for_customer", args=[found.token]))
    return render(request, "shares/share.html", {"page": page, "share": found, "link": link})


@get_or_post
def change_wishes(request: ShopRequest, share_id: int) -> HttpResponse:
    """Cut otherwise; a choice of the page comes filled in."""
    found = _share(share_id)
    stands = restored(OwnerWishes, found.wishes)
    form = WishesForm(request.POST or None, initial=typed_wishes(stands))
    form.offer_ways(
        selector.way_choices(found, request.shop), species=kinds_of_shop()[found.animal.kind].species
    )
    if request.method == "POST" and form.is_valid():
        try:
            service.wish(found, wishes=form.wishes(), by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Kept."))
            return redirect("share", share_id)
    return form_page(request, "shares/change_wishes.html", {"form": form, "share": found})


@get_or_post
def hand_over_share(request: ShopRequest, share_id: int) -> HttpResponse:
    """Weighed, taken home, billed."""
    found = _share(share_id)
    form = HandOverForm(request.POST or None, unit=request.weight_unit)
    if request.method == "POST" and form.is_valid():
        try:
            foretold_kg = selector.figures_of(found, request.shop).taken_kg
            service.hand_over(
                found, **form.cleaned_data, on=today(), foretold_kg=foretold_kg, by=person_of(request)
            )
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Handed over. The invoice is ready."))
            return redirect("share", share_id)
    return form_page(request, "shares/hand_over_share.html", {"form": form, "share": found})


@get_or_post
def cancel_share(request: ShopRequest, share_id: int) -> HttpResponse:
    found = _share(share_id)
    form = CancelForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            service.cancel(found, why=form.cleaned_data["why"], by=person_of(request))
        except CannotDo as refusal:
            add_findings(form, refusal.findings)
        else:
            messages.success(request, _("Cancelled."))
            return redirect("shares")
    return form_page(request, "shares/cancel_share.html", {"form": form, "share": found})


@require_POST
def share_link(request: ShopRequest, share_id: int) -> HttpResponse:
    """A new link for the customer, or none any more."""
    found = _share(share_id)
    if request.POST.get("what") == "withdraw":
        service.withdraw_link(found, by=person_of(request))
        messages.success(request, _("The link opens nothing any more."))
    elif found.state != OrderState.CANCELLED:
        service.open_link(found, by=person_of(request))
        messages.success(request, _("The link is ready. Whoever has it sees this share and nothing else."))
    return redirect("share", share_id)


@require_GET
def share_invoice(request: ShopRequest, share_id: int) -> HttpResponse:
    found = _share(share_id)
    pdf = selector.invoice_pdf(request.shop, found, on=today(), paper=paper_of(request))
    return pdf_answer(pdf, f"share-{found.code}")


@require_GET
def share_for_customer(request: ShopRequest, token: str) -> HttpResponse:
    """What the customer may see: their own share. A link that is withdrawn, or was never made, is not found."""
    rows = Share.objects.select_related("customer", "animal__supplier")
    found = rows.filter(token=token).first() if len(token) >= SHORTEST_TOKEN else None
    if found is None:
        raise Http404("share")
    figures = selector.figures_of(found, request.shop)
    answer = render(request, "shares/share_for_customer.html", {"figures": figures, "share": found})
    answer.headers["Cache-Control"] = "no-store"
    answer.headers["Referrer-Policy"] = "no-referrer"
    answer.headers["X-Robots-Tag"] = "noindex, nofollow"
    return answer


def _share(share_id: int) -> Share:
    return get_object_or_404(
        Share.objects.select_related("customer", "animal__supplier", "agreed_by"), pk=share_id
    )
