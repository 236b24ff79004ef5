"""The books: money by animal, kind and supplier over a period, on a page and as a table to keep."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from gambrel.files.sheets.csv_out import csv_bytes
from gambrel.shop.asking import ShopRequest
from gambrel.shop.clock import today
from gambrel.shop.pages.books.forms import PeriodForm
from gambrel.shop.pages.books.table import accounts_table
from gambrel.shop.records.selectors.books import BooksPage, books_page, usual_period


@require_GET
def books(request: ShopRequest) -> HttpResponse:
    form, page = _asked(request)
    return render(
        request, "books/books.html", {"page": page, "form": form}, status=400 if form.errors else 200
    )


@require_GET
def books_table(request: ShopRequest) -> HttpResponse:
    """Every animal of the period, a line each, as CSV."""
    form, page = _asked(request)
    if form.errors:
        return render(request, "books/books.html", {"page": page, "form": form}, status=400)
    name = f"books-{page.first}-{page.last}.csv"
    return HttpResponse(csv_bytes(accounts_table(page.animals)), content_type="text/csv; charset=utf-8",
                        headers={"Content-Disposition": f'attachment; filename="{name}"'})  # fmt: skip


def _asked(request: ShopRequest) -> tuple[PeriodForm, BooksPage]:
    """The form as it was sent and the page of its period; of the usual period where the form is wrong or empty."""
    first, last = usual_period(today())
    sent = any(name in request.GET for name in ("first", "last"))
    form = PeriodForm(request.GET if sent else None, initial={"first": first, "last": last})
    if sent and form.is_valid():
        first, last = form.cleaned_data["first"], form.cleaned_data["last"]
    return form, books_page(request.shop, first=first, last=last)
