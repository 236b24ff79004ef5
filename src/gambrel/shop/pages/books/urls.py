"""Addresses of the books."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, page
from gambrel.shop.pages.books import views

urlpatterns = [
    page("books/", views.books, name="books", roles=OWNER_ONLY),
    page("books/books.csv", views.books_table, name="books_table", roles=OWNER_ONLY),
]
