"""Addresses of the cooler log."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, STAFF, page
from gambrel.shop.pages.cooler import views

urlpatterns = [
    page("cooler/", views.cooler, name="cooler", roles=STAFF),
    page("cooler/<int:room_id>/read/", views.read_cooler, name="read_cooler", roles=STAFF),
    page("cooler/reading/<int:reading_id>/", views.correct_reading, name="correct_reading", roles=BLOCK),
    page("cooler/<int:room_id>/log.pdf", views.cooler_log, name="cooler_log", roles=STAFF),
]
