"""Addresses of the rib-face pages."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, STAFF, page
from gambrel.shop.pages.ribface import views

urlpatterns = [
    page("ribface/", views.ribfaces, name="ribfaces", roles=STAFF),
    page("ribface/compare/", views.compare_ribfaces, name="compare_ribfaces", roles=STAFF),
    page("ribface/<int:side_id>/", views.ribface, name="ribface", roles=STAFF),
    page("ribface/<int:side_id>/photograph/", views.read_ribface, name="read_ribface", roles=BLOCK),
    page("ribface/<int:side_id>/by-hand/", views.ribface_by_hand, name="ribface_by_hand", roles=BLOCK),
    page("ribface/reading/<int:reading_id>/measure/", views.measure_ribface, name="measure_ribface", roles=BLOCK),
    page("ribface/reading/<int:reading_id>/accept/", views.accept_ribface, name="accept_ribface", roles=BLOCK),
    page("ribface/picture/<int:photograph_id>/<slug:size>.jpg", views.ribface_picture, name="ribface_picture",
         roles=STAFF),
]  # fmt: skip
