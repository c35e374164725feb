"""Addresses of Plants."""

from __future__ import annotations

from django.urls import path

from scionary.web.plants import leaf_names, nameless, photo, several, spread, views

app_name = "plants"
urlpatterns = [
    path("", views.plants, name="plants"),
    path("nameless/", nameless.nameless_page, name="nameless"),
    path("nameless/this/", nameless.assign, name="nameless_this"),
    path("photo/", photo.photo, name="photo"),
    path("photo/seen/", photo.seen, name="seen"),
    path("in-leaf/", leaf_names.page, name="in_leaf"),
    path("in-leaf/confirm/", leaf_names.confirm, name="confirm_in_leaf"),
    path("several/", several.several, name="several"),
    path("spread/", spread.spread_page, name="spread"),
    path("spread/mark/", spread.mark, name="spread_mark"),
    path("<uuid:ident>/", views.plant, name="plant"),
    path("<uuid:ident>/labels.pdf", views.labels, name="labels"),
    path("<uuid:ident>/new-code/", views.new_code, name="new_code"),
    path("<uuid:ident>/write/<slug:kind>/", views.write, name="write"),
    path("<uuid:ident>/correct/<uuid:event>/", views.correct, name="correct"),
]
