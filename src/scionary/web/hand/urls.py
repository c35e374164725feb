"""Addresses of the page for the hand and of what it asks."""

from __future__ import annotations

from django.urls import path

from scionary.web.hand import shell

app_name = "hand"
urlpatterns = [
    path("", shell.shell, name="shell"),
]
