from django.apps import AppConfig


class ComparePages(AppConfig):
    name = "gambrel.shop.pages.compare"
    label = "compare_pages"
