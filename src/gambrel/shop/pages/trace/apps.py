from django.apps import AppConfig


class TracePages(AppConfig):
    name = "gambrel.shop.pages.trace"
    label = "trace_pages"
