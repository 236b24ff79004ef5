from django.apps import AppConfig


class PlanPages(AppConfig):
    name = "gambrel.shop.pages.plan"
    label = "plan_pages"
