"""Addresses of printed sheets."""

from __future__ import annotations

from django.urls import path

from scionary.web.paper import printing, views

app_name = "paper"
urlpatterns = [
    path("", views.paper, name="paper"),
    path("seen/", views.seen, name="seen"),
    path("round/", printing.round_sheet, name="print_round"),
    path("card/<uuid:dome>/", printing.card, name="print_card"),
    path("bench/<uuid:bench>/", printing.bench_sheet, name="print_bench"),
    path("<str:code>/", views.sheet, name="sheet"),
    path("<str:code>/undo/", views.undo, name="undo"),
    path("<str:code>/sheet.pdf", printing.pdf, name="pdf"),
    path("<str:code>/labels.pdf", printing.labels, name="labels"),
]
