"""What the scale taught: where each side's weight went, and what is wrong where it does not close."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from gambrel.shop.asking import ShopRequest
from gambrel.shop.pages.learn.words import causes_said
from gambrel.shop.records.models import Cutting
from gambrel.shop.records.selectors.learn_balance import learn_page, side_balance_page
from gambrel.shop.records.selectors.learn_yields import yields_page


@require_GET
def learn(request: ShopRequest) -> HttpResponse:
    return render(request, "learn/learn.html", {"page": learn_page(request.shop)})


@require_GET
def side_balance(request: ShopRequest, cutting_id: int) -> HttpResponse:
    """One side: its chain, and the slips that would explain it."""
    ended = Cutting.objects.filter(ended_at__isnull=False).select_related("side__animal")
    found = get_object_or_404(ended, pk=cutting_id)
    page = side_balance_page(found, request.shop)
    causes = causes_said(page, unit=request.weight_unit)
    return render(request, "learn/side_balance.html", {"page": page, "causes": causes})


@require_GET
def yields(request: ShopRequest) -> HttpResponse:
    """Book, own and both, cut by cut, of one kind."""
    page = yields_page(request.shop, request.GET.get("kind", ""))
    return render(request, "learn/yields.html", {"page": page})
