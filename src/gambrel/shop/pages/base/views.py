"""The first page sends each person to where they begin; the rest makes the shop installable on a phone."""

from __future__ import annotations

from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_GET

from gambrel.shop.access import COUNTER, CUTTER, OWNER, VISITOR, role_of
from gambrel.shop.asking import ShopRequest

FIRST_PAGE = {OWNER: ("today", "plan"), CUTTER: ("block", "plan"), COUNTER: ("prices", "plan")}


@require_GET
def home(request: ShopRequest) -> HttpResponse:
    """The owner begins with today, the cutter at the block, the counter with the prices."""
    role = role_of(request)
    if role == VISITOR:
        return redirect("compare" if request.shop and request.shop.comparison_is_public else "sign_in")
    for name in FIRST_PAGE[role]:
        try:
            return redirect(reverse(name))
        except NoReverseMatch:
            continue
    return redirect("preferences")


@require_GET
def manifest(request: ShopRequest) -> JsonResponse:
    """What a phone wants to know to install the shop."""
    icons = [{"src": static(f"base/icon-{size}.png"), "sizes": f"{size}x{size}", "type": "image/png"}
             for size in (192, 512)]  # fmt: skip
    icons.append({"src": static("base/icon.svg"), "sizes": "any", "type": "image/svg+xml"})
    name = request.shop.name if request.shop else "gambrel"
    described = {"name": name, "short_name": name[:12], "start_url": "/", "display": "standalone",
                 "background_color": "#faf6ef", "theme_color": "#6e2620", "icons": icons}  # fmt: skip
    return JsonResponse(described, content_type="application/manifest+json")


@require_GET
def worker(request: ShopRequest) -> HttpResponse:
    """The service worker; it must be served from the root to see every page."""
    return render(request, "base/worker.js", content_type="text/javascript")


@require_GET
def offline(request: ShopRequest) -> HttpResponse:
    return render(request, "base/offline.html")
