"""Addresses of the plan pages."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, OWNER_ONLY, STAFF, page
from gambrel.shop.pages.plan import views, why_views

urlpatterns = [
    page("plan/", views.plan, name="plan", roles=STAFF),
    page("plan/ask/", views.ask_plan, name="ask_plan", roles=BLOCK),
    page("plan/<int:plan_id>/", views.one_plan, name="one_plan", roles=STAFF),
    page("plan/<int:plan_id>/stop/", views.stop_plan, name="stop_plan", roles=BLOCK),
    page("plan/<int:plan_id>/take/", views.take_best, name="take_best", roles=BLOCK),
    page("plan/<int:plan_id>/more/", why_views.ask_more, name="ask_more", roles=BLOCK),
    page("plan/<int:plan_id>/why/<int:side_id>/", why_views.why_side, name="why_side", roles=STAFF),
    page("plan/<int:plan_id>/accept/", views.accept_plan, name="accept_plan", roles=OWNER_ONLY),
    page("plan/<int:plan_id>/plan.pdf", views.plan_sheet, name="plan_sheet", roles=STAFF),
    page("plan/settle/<int:side_id>/", views.settle_side, name="settle_side", roles=BLOCK),
]
