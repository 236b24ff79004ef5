"""The bid: what may be paid for the next animal of a kind, and what an offer would mean."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from gambrel.shop.pages.bid.forms import BidForm
from gambrel.shop.records.selectors.bid import bid_page


@require_GET
def bid(request: HttpRequest) -> HttpResponse:
    """Asks by GET, stores nothing; a page with a question in its address can be kept as a bookmark."""
    usual = bid_page(kind=None, offer_cents_per_kg=None, on="rail")
    asked = any(name in request.GET for name in ("kind", "on", "offer", "supplier"))
    form = BidForm(request.GET if asked else None, kinds=usual.kinds, suppliers=usual.suppliers)
    valid = asked and form.is_valid()
    said = form.cleaned_data if valid else {}
    page = bid_page(
        kind=said.get("kind") or None,
        offer_cents_per_kg=said.get("offer"),
        on=said.get("on") or "rail",
        supplier=said.get("supplier") or "",
        plan=usual.plan,
    )
    return render(
        request, "bid/bid.html", {"page": page, "form": form}, status=400 if asked and not valid else 200
    )
