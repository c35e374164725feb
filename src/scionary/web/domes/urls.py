"""Addresses of Domes."""

from __future__ import annotations

from django.urls import path

from scionary.web.domes import logs, rounds, views

app_name = "domes"
urlpatterns = [
    path("", views.domes, name="domes"),
    path("new/", views.new, name="new"),
    path("<uuid:ident>/", views.dome, name="dome"),
    path("<uuid:ident>/change/", views.change, name="change"),
    path("<uuid:ident>/water/", views.water, name="water"),
    path("<uuid:ident>/vents/", views.vents, name="vents"),
    path("<uuid:ident>/treat/", views.treat, name="treat"),
    path("<uuid:ident>/out/", views.out, name="out"),
    path("<uuid:ident>/card.pdf", views.card, name="card"),
    path("<uuid:ident>/log/", logs.look, name="log"),
    path("<uuid:ident>/log/accept/", logs.accept, name="accept"),
    path("<uuid:ident>/round/", rounds.page, name="round"),
    path("<uuid:ident>/round/rest/", rounds.rest, name="rest"),
    path("<uuid:ident>/round/whole/", rounds.whole, name="whole"),
    path("<uuid:ident>/round/whole/undo/", rounds.whole_undone, name="whole_undone"),
    path("<uuid:ident>/round/<uuid:plant>/", rounds.tapped, name="tap"),
    path("<uuid:ident>/round/<uuid:plant>/why/", rounds.why, name="why"),
    path("<uuid:ident>/round/<uuid:plant>/undo/", rounds.untapped, name="untap"),
]
