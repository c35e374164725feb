"""Addresses of photos."""

from __future__ import annotations

from django.urls import path

from scionary.web.photos import views

app_name = "photos"
urlpatterns = [
    path("new/", views.new, name="new"),
    path("<uuid:ident>/", views.look, name="look"),
    path("<uuid:ident>.jpg", views.picture, {"small": False}, name="picture"),
    path("<uuid:ident>/small.jpg", views.picture, {"small": True}, name="small"),
]
