"""Addresses of the weather."""

from __future__ import annotations

from django.urls import path

from scionary.web.weather import reading_in, site, views

app_name = "weather"
urlpatterns = [
    path("", views.weather, name="weather"),
    path("look/", reading_in.look, name="look"),
    path("accept/", reading_in.accept, name="accept"),
    path("stations/<uuid:ident>/", views.station, name="station"),
    path("windows/", site.windows, name="windows"),
    path("limits/", site.limits, name="limits"),
]
