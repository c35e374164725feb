"""Addresses of Due."""

from __future__ import annotations

from django.urls import path

from scionary.web.due import answering, aside, calendar, leaf, views

app_name = "due"
urlpatterns = [
    path("", views.due_page, name="due"),
    path("done/", views.done, name="done"),
    path("answer/", answering.answer, name="answer"),
    path("calendar/", calendar.page, name="calendar"),
    path("calendar/new/", calendar.make, name="make_feed"),
    path("calendar/due.ics", calendar.download, name="calendar_file"),
    path("calendar/<uuid:ident>/end/", calendar.end, name="end_feed"),
    path("kept-aside/", aside.page, name="aside"),
    path("in-leaf/", leaf.page, name="in_leaf"),
    path("in-leaf/rest/", leaf.rest, name="rest"),
    path("in-leaf/<uuid:plant>/", leaf.tapped, name="tap"),
    path("in-leaf/<uuid:plant>/why/", leaf.why, name="why"),
    path("in-leaf/<uuid:plant>/undo/", leaf.untapped, name="untap"),
]
