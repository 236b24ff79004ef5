from django.apps import AppConfig


class RibfacePages(AppConfig):
    name = "gambrel.shop.pages.ribface"
    label = "ribface_pages"
