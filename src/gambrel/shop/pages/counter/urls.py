"""Addresses of the counter."""

from __future__ import annotations

from gambrel.shop.access import SELLING, page
from gambrel.shop.pages.counter import views

urlpatterns = [
    page("counter/", views.counter, name="counter", roles=SELLING),
    page("counter/sell/", views.counter_sell, name="counter_sell", roles=SELLING),
    page("counter/back/", views.counter_back, name="counter_back", roles=SELLING),
    page("counter/day/", views.counter_day, name="counter_day", roles=SELLING),
    page("counter/till.csv", views.counter_till, name="counter_till", roles=SELLING),
]
