from django.apps import AppConfig


class BooksPages(AppConfig):
    name = "gambrel.shop.pages.books"
    label = "books_pages"
