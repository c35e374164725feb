"""Addresses of Plan."""

from __future__ import annotations

from django.urls import path

from scionary.web.plan import rare, tray, views, weeks, weeks_beside, weeks_lists

app_name = "plan"
urlpatterns = [
    path("", views.plan, name="plan"),
    path("add/", views.add, name="add"),
    path("add/lines/", views.add_lines, name="add-lines"),
    path("rare/", rare.page, name="rare"),
    path("take/", views.take, name="take"),
    path("tray/", tray.page, name="tray"),
    path("tray/print/", tray.print_, name="tray-print"),
    path("weeks/", weeks.weeks, name="weeks"),
    path("weeks/find/", weeks.find, name="weeks-find"),
    path("weeks/stop/", weeks.stop_it, name="weeks-stop"),
    path("weeks/take/", weeks.take, name="weeks-take"),
    path("weeks/instead/", weeks_beside.instead, name="weeks-instead"),
    path("weeks/instead/<uuid:ident>/", weeks_beside.watch, name="weeks-trying"),
    path("weeks/figures/", weeks.figures, name="weeks-figures"),
    path("weeks/lists/", weeks_lists.lists, name="weeks-lists"),
    path("weeks/lists/offer/", weeks_lists.offer, name="weeks-offer"),
    path("weeks/lists/sheets/", weeks_lists.sheets, name="weeks-sheets"),
    path("weeks/lists/print/", weeks_lists.print_, name="weeks-print"),
    path("weeks/<uuid:ident>/row/<int:number>/", weeks.row, name="weeks-row"),
    path("wish/<uuid:ident>/", views.wish, name="wish"),
    path("wish/<uuid:ident>/away/", views.away, name="away"),
]
