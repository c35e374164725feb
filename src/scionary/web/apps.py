"""The pages as a Django application."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    name = "scionary.web"
    label = "web"
