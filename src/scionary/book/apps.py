"""The book as a Django application."""

from django.apps import AppConfig


class BookConfig(AppConfig):
    name = "scionary.book"
    label = "book"
    default_auto_field = "django.db.models.BigAutoField"
