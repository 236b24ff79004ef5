"""Addresses of the block pages."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, page
from gambrel.shop.pages.block import line_views, views

urlpatterns = [
    page("block/", views.block, name="block", roles=BLOCK),
    page("block/begin/<int:side_id>/", views.begin_cutting, name="begin_cutting", roles=BLOCK),
    page("block/<int:cutting_id>/", views.cutting, name="cutting", roles=BLOCK),
    page("block/<int:cutting_id>/ways/", views.cutting_ways, name="cutting_ways", roles=BLOCK),
    page("block/<int:cutting_id>/finish/", views.finish_cutting, name="finish_cutting", roles=BLOCK),
    page(
        "block/<int:cutting_id>/off-rail/", line_views.correct_off_rail, name="correct_off_rail", roles=BLOCK
    ),
    page("block/<int:cutting_id>/put-back/", views.put_back, name="put_back", roles=BLOCK),
    page("block/<int:cutting_id>/weigh/", line_views.weigh_piece, name="weigh_piece", roles=BLOCK),
    page("block/weights/<int:line_id>/", line_views.correct_weight, name="correct_weight", roles=BLOCK),
    page(
        "block/weights/<int:line_id>/take-out/",
        line_views.take_out_weight,
        name="take_out_weight",
        roles=BLOCK,
    ),
]
