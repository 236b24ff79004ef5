from django.apps import AppConfig


class Records(AppConfig):
    name = "gambrel.shop.records"
    label = "records"
