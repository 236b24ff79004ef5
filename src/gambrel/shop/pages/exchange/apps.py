from django.apps import AppConfig


class ExchangePages(AppConfig):
    name = "gambrel.shop.pages.exchange"
    label = "exchange_pages"
