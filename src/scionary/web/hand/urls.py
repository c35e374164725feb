"""Addresses of the page for the hand and of what it asks."""

from __future__ import annotations

from django.urls import path

from scionary.web.hand import door, shell, words

app_name = "hand"
urlpatterns = [
    path("", shell.shell, name="shell"),
    path("words.json", words.words, name="words"),
    path("data/", door.data, name="data"),
    path("device/", door.device, name="device"),
    path("lease/", door.lease, name="lease"),
    path("events/", door.events, name="events"),
    path("advice/", door.advice, name="advice"),
    path("<path:rest>", door.nothing, name="nothing"),
]
