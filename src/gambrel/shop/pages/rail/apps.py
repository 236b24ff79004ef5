from django.apps import AppConfig


class RailPages(AppConfig):
    name = "gambrel.shop.pages.rail"
    label = "rail_pages"
