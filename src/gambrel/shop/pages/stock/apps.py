from django.apps import AppConfig


class StockPages(AppConfig):
    name = "gambrel.shop.pages.stock"
    label = "stock_pages"
