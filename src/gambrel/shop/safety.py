"""What keeps a page safe and what is shown when something is wrong: headers, and the pages for errors."""

from __future__ import annotations

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data: blob:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
"""Content security policy: no script or style written into a page, nothing from outside."""


class SafeHeaders:
    """Middleware: every answer carries the policy, and no page of a signed-in person is kept by a cache."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        response = self.get_response(request)
        response.headers.setdefault("Content-Security-Policy", POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
        if getattr(request, "user", None) is not None and request.user.is_authenticated:
            response.headers.setdefault("Cache-Control", "no-store")
        return response


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "base/not_found.html", status=404)


def gone_wrong(request: HttpRequest) -> HttpResponse:
    return render(request, "base/gone_wrong.html", status=500)


def form_too_old(request: HttpRequest, reason: str = "") -> HttpResponse:
    """A form without its token: it was open too long, or it came from another site."""
    return render(request, "base/form_too_old.html", status=403)
