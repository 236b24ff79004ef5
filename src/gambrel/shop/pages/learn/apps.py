from django.apps import AppConfig


class LearnPages(AppConfig):
    name = "gambrel.shop.pages.learn"
    label = "learn_pages"
