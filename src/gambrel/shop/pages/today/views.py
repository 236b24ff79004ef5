"""Today: what must be done now and what is wrong, in order."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from gambrel.shop.asking import ShopRequest
from gambrel.shop.clock import now
from gambrel.shop.records.selectors.today import today_page


@require_GET
def today(request: ShopRequest) -> HttpResponse:
    return render(request, "today/today.html", {"page": today_page(at=now())})
