"""Addresses of the book."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "records"
urlpatterns: list[URLPattern] = []
