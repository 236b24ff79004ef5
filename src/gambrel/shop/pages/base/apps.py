from django.apps import AppConfig


class BasePages(AppConfig):
    name = "gambrel.shop.pages.base"
    label = "base_pages"
