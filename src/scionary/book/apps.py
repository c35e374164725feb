"""The book as a Django application."""

from django.apps import AppConfig
from django.utils.translation import gettext, ngettext

from scionary.language import speak_through


class BookConfig(AppConfig):
    name = "scionary.book"
    label = "book"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Texts are read in the language of whoever asks, as Django knows it."""
        speak_through(gettext, ngettext)
