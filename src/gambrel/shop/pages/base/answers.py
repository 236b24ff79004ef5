"""What many views answer with: a form that is read or sent, and a sheet to print."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

get_or_post = require_http_methods(["GET", "POST"])
"""A page with a form: shown, and sent back to the same address."""


def form_page(request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """A page with a form: as it is asked for, or sent back (400) because something in it cannot be taken."""
    return render(request, template, context, status=400 if request.method == "POST" else 200)


def paper_of(request: HttpRequest) -> str:
    """The paper that was asked for: letter, unless it is A4."""
    return "a4" if request.GET.get("paper") == "a4" else "letter"


def pdf_answer(pdf: bytes, name: str) -> HttpResponse:
    """A PDF that the browser shows; saved, it is called `name`.pdf."""
    shown = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=shown)
