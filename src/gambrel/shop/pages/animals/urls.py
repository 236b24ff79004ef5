"""Addresses of animals and suppliers."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, STAFF, page
from gambrel.shop.pages.animals import views

urlpatterns = [
    page("animals/", views.animals, name="animals", roles=STAFF),
    page("animals/<int:animal_id>/", views.animal, name="animal", roles=STAFF),
    page("animals/<int:animal_id>/bill/", views.bill, name="bill", roles=OWNER_ONLY),
    page("animals/suppliers/", views.suppliers, name="suppliers", roles=STAFF),
    page("animals/suppliers/<int:supplier_id>/", views.supplier, name="supplier", roles=OWNER_ONLY),
]
