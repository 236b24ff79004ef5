from django.apps import AppConfig


class SharesPages(AppConfig):
    name = "gambrel.shop.pages.shares"
    label = "shares_pages"
