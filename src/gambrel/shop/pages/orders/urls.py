"""Addresses of the orders."""

from __future__ import annotations

from gambrel.shop.access import SELLING, STAFF, page
from gambrel.shop.pages.orders import views

urlpatterns = [
    page("orders/", views.orders, name="orders", roles=STAFF),
    page("orders/new/", views.new_order, name="new_order", roles=SELLING),
    page("orders/<int:order_id>/", views.order, name="order", roles=STAFF),
    page("orders/<int:order_id>/change/", views.change_order, name="change_order", roles=SELLING),
    page("orders/<int:order_id>/close/", views.close_order, name="close_order", roles=SELLING),
]
