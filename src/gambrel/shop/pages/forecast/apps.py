from django.apps import AppConfig


class ForecastPages(AppConfig):
    name = "gambrel.shop.pages.forecast"
    label = "forecast_pages"
