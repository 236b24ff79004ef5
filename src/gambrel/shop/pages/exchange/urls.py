"""Addresses of what comes in and goes out."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, page
from gambrel.shop.pages.exchange import views

urlpatterns = [
    page("exchange/", views.exchange, name="exchange", roles=OWNER_ONLY),
    page("exchange/everything.zip", views.everything_zip, name="everything_zip", roles=OWNER_ONLY),
    page("exchange/everything.xlsx", views.everything_xlsx, name="everything_xlsx", roles=OWNER_ONLY),
    page("exchange/bring/", views.bring, name="bring_table", roles=OWNER_ONLY),
    page("exchange/example/<slug:subject>.csv", views.example, name="example_table", roles=OWNER_ONLY),
    page("exchange/look/<slug:subject>/<uuid:table>/", views.look, name="look_at_table", roles=OWNER_ONLY),
    page("exchange/store/<slug:subject>/<uuid:table>/", views.store, name="store_table", roles=OWNER_ONLY),
    page("exchange/forget/<uuid:table>/", views.forget, name="forget_table", roles=OWNER_ONLY),
    page("exchange/keys/", views.make_key, name="make_key", roles=OWNER_ONLY),
    page(
        "exchange/keys/<int:device_id>/withdraw/", views.withdraw_key, name="withdraw_key", roles=OWNER_ONLY
    ),
]
