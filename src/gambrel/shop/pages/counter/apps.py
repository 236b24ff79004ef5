from django.apps import AppConfig


class CounterPages(AppConfig):
    name = "gambrel.shop.pages.counter"
    label = "counter_pages"
