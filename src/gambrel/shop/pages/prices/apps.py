from django.apps import AppConfig


class PricesPages(AppConfig):
    name = "gambrel.shop.pages.prices"
    label = "prices_pages"
