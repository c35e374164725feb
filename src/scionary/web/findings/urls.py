"""Addresses of Findings."""

from __future__ import annotations

from django.urls import path

from scionary.web.findings import views

app_name = "findings"
urlpatterns = [
    path("", views.findings, name="findings"),
    path("difference/", views.difference, name="difference"),
]
