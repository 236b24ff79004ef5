"""Addresses of the way back and the way out."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, STAFF, page
from gambrel.shop.pages.trace import views

urlpatterns = [
    page("trace/", views.trace, name="trace", roles=STAFF),
    page("trace/balance/", views.lot_balance, name="lot_balance", roles=STAFF),
    page("trace/recall.pdf", views.recall_sheet, name="recall_sheet", roles=STAFF),
    page("trace/hold/", views.hold_lots, name="hold_lots", roles=OWNER_ONLY),
    page("trace/drill/", views.begin_drill, name="begin_drill", roles=STAFF),
    page("trace/drill/<int:drill_id>/", views.drill, name="drill", roles=STAFF),
    page("trace/drill/<int:drill_id>/end/", views.end_drill, name="end_drill", roles=STAFF),
]
