"""Addresses of the price pages."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, OWNER_ONLY, SELLING, page
from gambrel.shop.pages.prices import step_views, views

urlpatterns = [
    page("prices/", views.prices, name="prices", roles=SELLING),
    page("prices/set/", views.set_prices, name="set_prices", roles=OWNER_ONLY),
    page("prices/public/", views.price_board_public, name="price_board_public", roles=OWNER_ONLY),
    page("prices/list.pdf", views.price_list_sheet, name="price_list_sheet", roles=OWNER_ONLY),
    page("prices/board.pdf", views.price_board_sheet, name="price_board_sheet", roles=SELLING),
    page("prices/board/", views.price_board, name="price_board", roles=EVERYBODY),
    page("prices/steps/", step_views.price_steps, name="price_steps", roles=OWNER_ONLY),
    page("prices/steps/new/", step_views.new_price_step, name="new_price_step", roles=OWNER_ONLY),
    page("prices/steps/<int:demand_id>/", step_views.price_step, name="price_step", roles=OWNER_ONLY),
    page(
        "prices/steps/<int:demand_id>/remove/",
        step_views.remove_price_step,
        name="remove_price_step",
        roles=OWNER_ONLY,
    ),
]
