"""Addresses of the rail."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, STAFF, page
from gambrel.shop.pages.rail import views

urlpatterns = [
    page("rail/", views.rail, name="rail", roles=STAFF),
    page("rail/hang/", views.hang_animal, name="hang_animal", roles=BLOCK),
    page("rail/side/<int:side_id>/", views.side, name="side", roles=STAFF),
    page("rail/side/<int:side_id>/weigh/", views.weigh_side, name="weigh_side", roles=BLOCK),
    page("rail/side/<int:side_id>/move/", views.move_side, name="move_side", roles=BLOCK),
    page("rail/side/<int:side_id>/take-down/", views.take_down, name="take_down", roles=BLOCK),
    page("rail/weight/<int:weighing_id>/", views.correct_weighing, name="correct_weighing", roles=BLOCK),
]
