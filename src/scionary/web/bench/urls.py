"""Addresses of Bench."""

from __future__ import annotations

from django.urls import path

from scionary.web.bench import advising, blade, correcting, hand, join, labels, match, measure, tree, views, yard

app_name = "bench"
urlpatterns = [
    path("", views.bench, name="bench"),
    path("new/", views.new, name="new"),
    path("standing/", views.standing, name="standing"),
    path("yard/", yard.page, name="yard"),
    path("yard/trees/<uuid:ident>/", tree.page, name="yard_tree"),
    path("yard/trees/<uuid:ident>/seen/", tree.seen, name="tree_seen"),
    path("yard/trees/<uuid:ident>/watered/", tree.watered, name="tree_watered"),
    path("yard/bags/<uuid:ident>/", yard.bag, name="bag"),
    path("yard/bags/<uuid:ident>/label.pdf", yard.label, name="bag_label"),
    path("join/", join.page, name="join"),
    path("match/", match.page, name="match"),
    path("match/list.pdf", match.printed, name="match_list"),
    path("match/used/", match.used, name="match_used"),
    path("measure/<str:noun>/<uuid:ident>/", measure.page, name="measure"),
    path("measure/<str:noun>/<uuid:ident>/used/", measure.used, name="measure_used"),
    path("join/hand/", hand.page, name="hand"),
    path("join/sheet.pdf", join.sheet, name="join_sheet"),
    path("join/gauge.pdf", join.gauge, name="gauge"),
    path("join/keep/", join.keep, name="join_keep"),
    path("<uuid:ident>/", views.day, name="day"),
    path("<uuid:ident>/look/", advising.look, name="look"),
    path("<uuid:ident>/graft/", views.graft, name="graft"),
    path("<uuid:ident>/undo/", views.undo, name="undo"),
    path("<uuid:ident>/blade/", blade.clean, name="blade"),
    path("<uuid:ident>/change/", views.change, name="change"),
    path("<uuid:ident>/correct/", correcting.correct, name="correct"),
    path("<uuid:ident>/undo-all/", correcting.undo_all, name="undo_all"),
    path("labels/ahead/", labels.ahead, name="labels_ahead"),
    path("labels/<str:on>.pdf", labels.of_day, name="labels_of_day"),
    path("<uuid:ident>/labels.pdf", views.labels, name="labels"),
]
