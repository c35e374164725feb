"""Addresses of long work."""

from __future__ import annotations

from django.urls import path

from scionary.web.work import views

app_name = "work"
urlpatterns = [path("<uuid:ident>/", views.watch, name="watch"), path("<uuid:ident>/stop/", views.stop, name="stop")]
