from django.apps import AppConfig


class BidPages(AppConfig):
    name = "gambrel.shop.pages.bid"
    label = "bid_pages"
