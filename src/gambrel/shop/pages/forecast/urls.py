"""Addresses of the forecast pages."""

from __future__ import annotations

from gambrel.shop.access import BLOCK, STAFF, page
from gambrel.shop.pages.forecast import views

urlpatterns = [
    page("forecast/", views.forecasts, name="forecasts", roles=STAFF),
    page("forecast/<int:side_id>/", views.forecast, name="forecast", roles=STAFF),
    page("forecast/<int:side_id>/keep/", views.keep_ways, name="keep_ways", roles=BLOCK),
    page("forecast/<int:side_id>/leave/", views.leave_ways, name="leave_ways", roles=BLOCK),
    page("forecast/<int:side_id>/forecast.pdf", views.forecast_sheet, name="forecast_sheet", roles=STAFF),
]
