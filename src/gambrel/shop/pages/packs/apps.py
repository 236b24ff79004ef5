from django.apps import AppConfig


class PacksPages(AppConfig):
    name = "gambrel.shop.pages.packs"
    label = "packs_pages"
