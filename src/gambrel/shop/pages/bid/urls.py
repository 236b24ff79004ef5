"""Address of the bid page."""

from __future__ import annotations

from gambrel.shop.access import OWNER_ONLY, page
from gambrel.shop.pages.bid import views

urlpatterns = [page("bid/", views.bid, name="bid", roles=OWNER_ONLY)]
