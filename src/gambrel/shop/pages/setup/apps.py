from django.apps import AppConfig


class SetupPages(AppConfig):
    name = "gambrel.shop.pages.setup"
    label = "setup_pages"
