"""Addresses of Plan."""

from __future__ import annotations

from django.urls import URLPattern

app_name = "plan"
urlpatterns: list[URLPattern] = []
