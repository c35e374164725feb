"""Addresses of the book: settings, nouns, after-care, files in and out, long work."""

from __future__ import annotations

from django.urls import path, register_converter

from scionary.web.records import care, compatibility, files, keeping, labels, names, phones, views
from scionary.web.records.nouns import NOUN_PAGES


class NounConverter:
    """The word in an address that names a kind of noun."""

    regex = "|".join(NOUN_PAGES)

    def to_python(self, value: str) -> str:
        return value

    def to_url(self, value: str) -> str:
        return value


register_converter(NounConverter, "noun")

app_name = "records"
urlpatterns = [
    path("", views.book, name="book"),
    path("settings/", views.settings, name="settings"),
    path("import/", files.choose, name="import"),
    path("import/look/", files.look, name="look"),
    path("import/accept/", files.accept, name="accept"),
    path("import/undo/", files.undo, name="undo_import"),
    path("export/", keeping.take_home, {"what": "tables"}, name="export"),
    path("backup/", keeping.take_home, {"what": "backup"}, name="backup"),
    path("taken-home/<uuid:ident>/", keeping.fetch, name="fetch"),
    path("jobs/", keeping.jobs, name="jobs"),
    path("methods/<uuid:ident>/steps/new/", care.step, name="new_step"),
    path("methods/<uuid:ident>/steps/<int:place>/", care.step, name="step"),
    path("methods/<uuid:ident>/steps/<int:place>/out/", care.out, name="step_out"),
    path("methods/<uuid:ident>/pick/", care.pick, name="pick"),
    path("methods/<uuid:ident>/practice/", care.practice, name="practice"),
    path("labels/", labels.labels, name="labels"),
    path("labels/medium/", labels.medium, name="medium"),
    path("labels/medium/out/", labels.out, name="medium_out"),
    path("labels/weeks/", labels.weeks, name="label_weeks"),
    path("compatibility/", compatibility.table, name="compatibility"),
    path("compatibility/row/", compatibility.row, name="compatibility_row"),
    path("compatibility/row/out/", compatibility.out, name="compatibility_out"),
    path("names/", names.names, name="names"),
    path("names/two/", names.two, name="two_names"),
    path("names/<uuid:keep>/<uuid:give>/", names.joining, name="join"),
    path("names/joined/<uuid:ident>/", names.joined, name="joined"),
    path("names/joined/<uuid:ident>/undo/", names.undo, name="take_apart"),
    path("names/joined/<uuid:ident>/labels.pdf", names.labels, name="joined_labels"),
    path("cultivars/<uuid:ident>/names/", names.others, name="other_names"),
    path("cultivars/<uuid:ident>/names/out/", names.other_out, name="other_name_out"),
    path("phones/", phones.page, name="phones"),
    path("phones/<uuid:ident>/end/", phones.end, name="end_phone"),
    path("<noun:noun>/", views.nouns, name="nouns"),
    path("<noun:noun>/new/", views.new, name="new"),
    path("<noun:noun>/<uuid:ident>/", views.noun, name="noun"),
]
