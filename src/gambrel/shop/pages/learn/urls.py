"""Addresses of what the scale taught."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, OWNER_ONLY, page
from gambrel.shop.pages.learn import judged_views, views

urlpatterns = [
    page("learn/", views.learn, name="learn", roles=BLOCK),
    page("learn/sides/<int:cutting_id>/", views.side_balance, name="side_balance", roles=BLOCK),
    page("learn/yields/", views.yields, name="yields", roles=OWNER_ONLY),
    page("learn/truth/", judged_views.truth, name="truth", roles=OWNER_ONLY),
    page("learn/scores/", judged_views.scores, name="scores", roles=OWNER_ONLY),
    page("learn/coolers/", judged_views.coolers, name="coolers_learned", roles=BLOCK),
    page("learn/rib-face/", judged_views.rib_face, name="rib_face_value", roles=OWNER_ONLY),
]
