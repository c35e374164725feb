"""Addresses of Findings."""

from __future__ import annotations

from django.urls import path

from scionary.web.findings import signs, take_home, views

app_name = "findings"
urlpatterns = [
    path("", views.findings, name="findings"),
    path("difference/", views.difference, name="difference"),
    path("signs/", signs.signs, name="signs"),
    path("take-home/draws/", take_home.model, {"what": "draws"}, name="draws"),
    path("take-home/summary/", take_home.model, {"what": "summary"}, name="summary"),
]
