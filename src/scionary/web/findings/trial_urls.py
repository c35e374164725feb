"""Addresses of trials, a part of Findings."""

from __future__ import annotations

from django.urls import path

from scionary.web.findings import trial_views as views

app_name = "trials"
urlpatterns = [
    path("", views.listed, name="trials"),
    path("new/", views.new, name="new"),
    path("<uuid:ident>/", views.trial, name="trial"),
    path("<uuid:ident>/out/", views.out, name="out"),
    path("<uuid:ident>/back/", views.back, name="back"),
    path("<uuid:ident>/away/", views.away, name="away"),
    path("<uuid:ident>/sheet.pdf", views.sheet, name="sheet"),
]
