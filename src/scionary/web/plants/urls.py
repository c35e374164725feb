"""Addresses of Plants."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "plants"
urlpatterns: list[URLPattern] = []
