"""Addresses of Findings."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "findings"
urlpatterns: list[URLPattern] = []
