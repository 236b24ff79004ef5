from django.apps import AppConfig


class CoolerPages(AppConfig):
    name = "gambrel.shop.pages.cooler"
    label = "cooler_pages"
