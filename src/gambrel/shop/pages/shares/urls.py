"""Addresses of shares, within the orders; a customer's own page stands outside and needs no sign-in."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, SELLING, STAFF, page
from gambrel.shop.pages.shares import views

urlpatterns = [
    page("orders/shares/", views.shares, name="shares", roles=STAFF),
    page("orders/shares/new/", views.new_share, name="new_share", roles=SELLING),
    page("orders/shares/<int:share_id>/", views.share, name="share", roles=STAFF),
    page("orders/shares/<int:share_id>/wishes/", views.change_wishes, name="change_wishes", roles=SELLING),
    page(
        "orders/shares/<int:share_id>/hand-over/",
        views.hand_over_share,
        name="hand_over_share",
        roles=SELLING,
    ),
    page("orders/shares/<int:share_id>/cancel/", views.cancel_share, name="cancel_share", roles=SELLING),
    page("orders/shares/<int:share_id>/link/", views.share_link, name="share_link", roles=SELLING),
    page(
        "orders/shares/<int:share_id>/invoice.pdf", views.share_invoice, name="share_invoice", roles=SELLING
    ),
    page("share/<str:token>/", views.share_for_customer, name="share_for_customer", roles=EVERYBODY),
]
