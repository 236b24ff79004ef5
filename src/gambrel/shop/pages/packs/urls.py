"""Addresses of the packing table."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, STAFF, page
from gambrel.shop.pages.packs import label_views, views, weight_views

urlpatterns = [
    page("packs/", views.packs, name="packs", roles=STAFF),
    page("packs/<int:lot_id>/", views.pack_lot, name="pack_lot", roles=STAFF),
    page("packs/<int:lot_id>/weights/", weight_views.check_weights, name="check_weights", roles=STAFF),
    page("packs/<int:lot_id>/labels.pdf", label_views.lot_labels, name="lot_labels", roles=STAFF),
    page("packs/label/<int:pack_id>.pdf", label_views.label, name="label", roles=STAFF),
    page("packs/labels/", label_views.label_shop, name="label_shop", roles=OWNER_ONLY),
    page("packs/labels/rules/", label_views.label_rules, name="label_rules", roles=OWNER_ONLY),
]
