"""Addresses of Plan."""

from __future__ import annotations

from django.urls import path

from scionary.web.plan import rare, tray, views

app_name = "plan"
urlpatterns = [
    path("", views.plan, name="plan"),
    path("add/", views.add, name="add"),
    path("rare/", rare.page, name="rare"),
    path("take/", views.take, name="take"),
    path("tray/", tray.page, name="tray"),
    path("tray/print/", tray.print_, name="tray-print"),
    path("wish/<uuid:ident>/", views.wish, name="wish"),
    path("wish/<uuid:ident>/away/", views.away, name="away"),
]
