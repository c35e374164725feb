"""The answers as a Django application: it holds the long jobs' tasks."""

from django.apps import AppConfig


class AnswersConfig(AppConfig):
    name = "scionary.answers"
    label = "answers"
