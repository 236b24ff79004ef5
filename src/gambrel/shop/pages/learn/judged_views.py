"""What the sides that balance say of the forecast, of suppliers and kinds, of the coolers and of the rib face."""

from __future__ import annotations

from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from gambrel.measures.units import KG_PER_LB
from gambrel.shop.asking import ShopRequest
from gambrel.shop.pages.learn import pictures
from gambrel.shop.pages.learn.judged_words import FIGURE_NAMES, alarms_said, verdict_said
from gambrel.shop.records.selectors.learn_face import face_page
from gambrel.shop.records.selectors.learn_hanging import hanging_lines
from gambrel.shop.records.selectors.learn_scores import BY, BidLine, scores_page
from gambrel.shop.records.selectors.learn_truth import truth_page


@require_GET
def truth(request: ShopRequest) -> HttpResponse:
    """How often what came lay in the forecast's intervals, where it leans, and how far to trust it."""
    page = truth_page(request.shop, request.GET.get("kind"))
    shown = {
        "page": page, "verdict": verdict_said(page), "alarms": alarms_said(page.alarms),
        "months": pictures.months_svg(page.months) if page.months else "",
        "biases": pictures.biases_svg(page.biases) if page.biases else "",
    }  # fmt: skip
    return render(request, "learn/truth.html", shown)


@require_GET
def scores(request: ShopRequest) -> HttpResponse:
    """Suppliers, kinds or animals beside each other in one figure."""
    page = scores_page(request.shop, by=request.GET.get("by", ""), figure=request.GET.get("figure", ""))
    shown = {
        "page": page, "by": BY, "figures": [(name, FIGURE_NAMES[name]) for name in page.figures],
        "bids": [(line, _bid_address(line, request.weight_unit)) for line in page.bids],
        "figure_name": FIGURE_NAMES[page.figure], "svg": pictures.scores_svg(page, request.weight_unit),
    }  # fmt: skip
    return render(request, "learn/scores.html", shown)


def _bid_address(line: BidLine, unit: str) -> str:
    """The bid page with this kind and the bid that should become, in the person's unit."""
    cents = line.becomes.mean * (1.0 if unit == "kg" else KG_PER_LB)
    asked = {"kind": line.kind, "on": "rail"} | ({"offer": f"{cents / 100:.2f}/{unit}"} if cents > 0 else {})
    return f"{reverse('bid')}?{urlencode(asked)}"


@require_GET
def coolers(request: ShopRequest) -> HttpResponse:
    """What each room takes of each kind, by the book and by the shop's own weighings."""
    lines = hanging_lines()
    return render(request, "learn/coolers.html", {"lines": lines, "svg": pictures.coolers_svg(lines)})


@require_GET
def rib_face(request: ShopRequest) -> HttpResponse:
    """Whether what was read at the rib face makes the forecast nearer."""
    page = face_page()
    named = [(FIGURE_NAMES[value.figure], value) for value in page.values]
    shown = {"page": page, "named": named, "svg": pictures.face_svg(page.values) if page.values else ""}
    return render(request, "learn/rib_face.html", shown)
