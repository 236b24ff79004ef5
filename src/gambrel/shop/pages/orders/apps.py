from django.apps import AppConfig


class OrdersPages(AppConfig):
    name = "gambrel.shop.pages.orders"
    label = "orders_pages"
