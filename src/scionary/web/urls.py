"""Addresses of the pages: one line a part."""

from __future__ import annotations

from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from scionary.web.due import calendar
from scionary.web.hand import shell
from scionary.web.undoing import undo_event

urlpatterns: list[URLPattern | URLResolver] = [
    path("", RedirectView.as_view(url="/due/"), name="start"),
    path("due/", include("scionary.web.due.urls")),
    path("plan/", include("scionary.web.plan.urls")),
    path("bench/", include("scionary.web.bench.urls")),
    path("domes/", include("scionary.web.domes.urls")),
    path("plants/", include("scionary.web.plants.urls")),
    path("findings/trials/", include("scionary.web.findings.trial_urls")),
    path("findings/", include("scionary.web.findings.urls")),
    path("book/weather/", include("scionary.web.weather.urls")),
    path("book/", include("scionary.web.records.urls")),
    path("work/", include("scionary.web.work.urls")),
    path("photos/", include("scionary.web.photos.urls")),
    path("paper/", include("scionary.web.paper.urls")),
    path("calendar/<str:secret>.ics", calendar.feed, name="calendar_feed"),
    path("undo/", undo_event, name="undo"),
    path("account/", include("scionary.web.account.urls")),
    path("hand/", include("scionary.web.hand.urls")),
    path("sw.js", shell.worker, name="worker"),
    path("manifest.webmanifest", shell.manifest, name="manifest"),
]
