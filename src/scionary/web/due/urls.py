"""Addresses of Due."""

from __future__ import annotations

from django.urls import path

from scionary.web.due import views

app_name = "due"
urlpatterns = [path("", views.due_page, name="due"), path("done/", views.done, name="done")]
