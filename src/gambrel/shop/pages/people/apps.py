from django.apps import AppConfig


class PeoplePages(AppConfig):
    name = "gambrel.shop.pages.people"
    label = "people_pages"
