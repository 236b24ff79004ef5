from django.apps import AppConfig


class TodayPages(AppConfig):
    name = "gambrel.shop.pages.today"
    label = "today_pages"
