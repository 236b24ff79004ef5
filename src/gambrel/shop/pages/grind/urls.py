"""Addresses of the grinder."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, OWNER_ONLY, page
from gambrel.shop.pages.grind import batch_views, views

urlpatterns = [
    page("grind/", views.grind, name="grind", roles=BLOCK),
    page("grind/blend/", views.blend_trim, name="blend_trim", roles=BLOCK),
    page("grind/buy/", views.buy_trim, name="buy_trim", roles=BLOCK),
    page("grind/lean/", views.say_lean, name="say_lean", roles=OWNER_ONLY),
    page("grind/clean-up/", views.clean_up, name="clean_up", roles=BLOCK),
    page("grind/tub/<str:tub_id>/", views.tub, name="tub", roles=BLOCK),
    page("grind/begin/", batch_views.begin_batch, name="begin_batch", roles=BLOCK),
    page("grind/<int:batch_id>/", batch_views.batch, name="batch", roles=BLOCK),
    page("grind/<int:batch_id>/weigh/", batch_views.weigh_in, name="weigh_in", roles=BLOCK),
    page("grind/<int:batch_id>/close/", batch_views.close_batch, name="close_batch", roles=BLOCK),
    page("grind/<int:batch_id>/test/", batch_views.test_batch, name="test_batch", roles=BLOCK),
    page("grind/<int:batch_id>/record.pdf", batch_views.grinding_record, name="grinding_record", roles=BLOCK),
    page(
        "grind/line/<int:line_id>/out/", batch_views.take_out_of_batch, name="take_out_of_batch", roles=BLOCK
    ),
]
