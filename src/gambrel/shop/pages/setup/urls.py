"""Addresses of the shop's making and of its settings."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, OWNER_ONLY, page
from gambrel.shop.pages.setup import kind_views, room_views, views

urlpatterns = [
    page("setup/begin/", views.make_shop, name="make_shop", roles=EVERYBODY, without_shop=True),
    page("setup/", views.setup, name="setup", roles=OWNER_ONLY),
    page("setup/rooms/", room_views.rooms, name="rooms", roles=OWNER_ONLY),
    page("setup/rooms/<int:room_id>/", room_views.change_room, name="change_room", roles=OWNER_ONLY),
    page("setup/rooms/<int:room_id>/rail/", room_views.add_rail, name="add_rail", roles=OWNER_ONLY),
    page("setup/rails/<int:rail_id>/", room_views.change_rail, name="change_rail", roles=OWNER_ONLY),
    page("setup/rooms/<int:room_id>/out/", room_views.take_out_room, name="take_out_room", roles=OWNER_ONLY),
    page("setup/rails/<int:rail_id>/out/", room_views.take_out_rail, name="take_out_rail", roles=OWNER_ONLY),
    page(
        "setup/rooms/<int:room_id>/again/", room_views.use_room_again, name="use_room_again", roles=OWNER_ONLY
    ),
    page(
        "setup/rails/<int:rail_id>/again/", room_views.use_rail_again, name="use_rail_again", roles=OWNER_ONLY
    ),
    page("setup/kinds/", kind_views.kinds, name="kinds", roles=OWNER_ONLY),
    page("setup/kinds/<slug:own_kind>/", kind_views.change_kind, name="change_kind", roles=OWNER_ONLY),
    page("setup/kinds/<slug:own_kind>/remove/", kind_views.remove_kind, name="remove_kind", roles=OWNER_ONLY),
    page("setup/hours/", views.work, name="work", roles=OWNER_ONLY),
    page("setup/limits/", views.limits, name="limits", roles=OWNER_ONLY),
    page("setup/money/", views.money, name="money", roles=OWNER_ONLY),
]
