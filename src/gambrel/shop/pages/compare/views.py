"""The kinds side by side: for the customer at the counter, on the wall, and, if the owner likes, for everybody."""

from __future__ import annotations

from urllib.parse import urlencode

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from gambrel.shop.access import VISITOR, role_of
from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.answers import paper_of, pdf_answer
from gambrel.shop.pages.compare.forms import ShowForm
from gambrel.shop.records.selectors.compare import compare_page, poster_pdf
from gambrel.shop.records.services.showing import show


@require_GET
def compare(request: ShopRequest) -> HttpResponse:
    if not _may_see(request):
        return redirect(f"{reverse('sign_in')}?{urlencode({'next': request.get_full_path()})}")
    page = compare_page(title=_("Four animals, side by side"), with_prices=_may_see_prices(request))
    form = ShowForm(
        initial={"comparison": request.shop.comparison_is_public, "prices": request.shop.prices_are_public}
    )
    return render(request, "compare/compare.html", {"page": page, "form": form})


@require_GET
def compare_poster(request: ShopRequest) -> HttpResponse:
    """One page to hang up."""
    if not _may_see(request):
        return redirect(f"{reverse('sign_in')}?{urlencode({'next': request.get_full_path()})}")
    pdf = poster_pdf(paper=paper_of(request), with_prices=_may_see_prices(request))
    if pdf is None:
        raise Http404("no accepted plan")
    return pdf_answer(pdf, "side-by-side")


@require_POST
def show_compare(request: ShopRequest) -> HttpResponse:
    """The owner lets visitors see the comparison, with or without prices, or takes it back."""
    form = ShowForm(request.POST)
    if form.is_valid():
        show(request.shop, comparison=form.cleaned_data["comparison"], prices=form.cleaned_data["prices"],
             by=person_of(request))  # fmt: skip
        messages.success(request, _("Kept."))
    return redirect("compare")


def _may_see(request: ShopRequest) -> bool:
    return role_of(request) != VISITOR or request.shop.comparison_is_public


def _may_see_prices(request: ShopRequest) -> bool:
    return role_of(request) != VISITOR or request.shop.prices_are_public
