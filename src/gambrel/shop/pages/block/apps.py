from django.apps import AppConfig


class BlockPages(AppConfig):
    name = "gambrel.shop.pages.block"
    label = "block_pages"
