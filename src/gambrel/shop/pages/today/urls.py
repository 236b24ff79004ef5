"""Address of the page that a day begins with."""

from __future__ import annotations

from gambrel.shop.access import STAFF, page
from gambrel.shop.pages.today import views

urlpatterns = [page("today/", views.today, name="today", roles=STAFF)]
