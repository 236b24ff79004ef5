from django.apps import AppConfig


class GrindPages(AppConfig):
    name = "gambrel.shop.pages.grind"
    label = "grind_pages"
