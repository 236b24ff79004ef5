"""Addresses of what is on hand."""

from __future__ import annotations

from gambrel.shop.access import STAFF, page
from gambrel.shop.pages.stock import views

urlpatterns = [
    page("stock/", views.stock, name="stock", roles=STAFF),
    page("stock/count/", views.stock_count, name="stock_count", roles=STAFF),
    page("stock/pack/<int:pack_id>/", views.pack, name="pack", roles=STAFF),
    page("stock/pack/<int:pack_id>/became/", views.pack_became, name="pack_became", roles=STAFF),
]
