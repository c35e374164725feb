"""Addresses of Domes."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "domes"
urlpatterns: list[URLPattern] = []
