from django.apps import AppConfig


class AnimalsPages(AppConfig):
    name = "gambrel.shop.pages.animals"
    label = "animals_pages"
