"""Addresses of the kinds side by side. Visitors may come here; the page itself asks whether the owner lets them."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, OWNER_ONLY, page
from gambrel.shop.pages.compare import views

urlpatterns = [
    page("side-by-side/", views.compare, name="compare", roles=EVERYBODY),
    page("side-by-side/poster.pdf", views.compare_poster, name="compare_poster", roles=EVERYBODY),
    page("side-by-side/show/", views.show_compare, name="show_compare", roles=OWNER_ONLY),
]
