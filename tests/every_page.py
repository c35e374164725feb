"""An address of every page of the site, with things of the book that is open, and what is answered there."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from functools import partial
from uuid import UUID

from django.db.models import Model
from django.urls import URLResolver, get_resolver

from scionary.answers.joins import all_joins
from scionary.answers.schedule_beside import WORK as BESIDE
from scionary.book.models import (
    BenchDay,
    CalendarFeed,
    Cultivar,
    Device,
    Dome,
    Event,
    Job,
    KeptSchedule,
    Method,
    MotherTree,
    Plant,
    PrintedSheet,
    RootstockLot,
    ScionBag,
    Trial,
    WeatherStation,
    Wish,
)
from scionary.web.plants.views import WRITTEN_BY_HAND
from scionary.web.records.nouns import NOUN_PAGES

NOBODY = UUID(int=0)
_PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")
_FILES = (".pdf", ".jpg", ".ics", ".js", ".webmanifest", ".json")
# What is answered there is a file, or words for the page in the hand.
NO_PAGES = frozenset(
    {
        "plan/tray/print/",
        "plan/weeks/lists/print/",
        "findings/take-home/draws/",
        "findings/take-home/summary/",
        "book/export/",
        "book/backup/",
        "book/taken-home/<uuid:ident>/",
        "hand/data/",
        "hand/device/",
        "hand/lease/",
        "hand/advice/",
        "hand/events/",
    }
)
# What a parameter stands for, by the part of the route before it; elsewhere it names nothing.
_OF: Mapping[str, type[Model]] = {
    "due/calendar/": CalendarFeed,
    "due/in-leaf/": Plant,
    "plan/weeks/": KeptSchedule,
    "plan/weeks/instead/": Job,
    "plan/wish/": Wish,
    "bench/yard/trees/": MotherTree,
    "bench/yard/bags/": ScionBag,
    "bench/measure/<str:noun>/": RootstockLot,
    "bench/": BenchDay,
    "domes/": Dome,
    "domes/<uuid:ident>/round/": Plant,
    "plants/": Plant,
    "findings/trials/": Trial,
    "book/methods/": Method,
    "book/names/": Cultivar,
    "book/cultivars/": Cultivar,
    "book/phones/": Device,
    "book/taken-home/": Job,
    "book/weather/stations/": WeatherStation,
    "work/": Job,
    "paper/card/": Dome,
    "paper/bench/": BenchDay,
}
# Which row is meant, where not the first will do.
_WHICH: Mapping[str, Mapping[str, object]] = {
    "plan/weeks/instead/": {"work": BESIDE},
    "book/taken-home/": {"work": "take home", "status": Job.Status.DONE},
}
_TRAY = "length=540&width=280&pot=165&shape=square&cover=180&scion=90"
# What a page must be asked beside its address.
_ASKED: Mapping[str, Callable[[], str]] = {
    "plants/spread/": lambda: f"from={Plant.objects.order_by('pk')[0].key}",
    "photos/new/": lambda: f"of={Plant.objects.order_by('pk')[0].key}",
    "plan/tray/print/": lambda: _TRAY,
    "plan/weeks/lists/": lambda: f"season={KeptSchedule.objects.order_by('pk')[0].season}",
    "plan/weeks/lists/print/": lambda: f"season={KeptSchedule.objects.order_by('pk')[0].season}",
}


def routes(resolver: URLResolver | None = None, before: str = "") -> Iterator[str]:
    """Every route of the site, files left out."""
    for pattern in (resolver or get_resolver()).url_patterns:
        route = f"{before}{pattern.pattern}"
        if isinstance(pattern, URLResolver):
            yield from routes(pattern, route)
        elif not route.endswith(_FILES) and "<path:" not in route:
            yield route


def addresses(route: str) -> Iterator[str]:
    """The addresses of a route: of things the first, of kinds and nouns each."""
    if "<noun:noun>" in route:
        for noun, page in NOUN_PAGES.items():
            row = page.model._default_manager.order_by("pk").first()
            yield f"/{route}".replace("<noun:noun>", noun).replace("<uuid:ident>", str(row.pk if row else NOBODY))
        return
    for kind in WRITTEN_BY_HAND if "<slug:kind>" in route else [""]:
        asked = f"?{_ASKED[route]()}" if route in _ASKED else ""
        yield "/" + _PARAMETER.sub(partial(_value, route, kind), route) + asked


def pages() -> Iterator[str]:
    """The addresses at which there is a page to read, or a door for what is sent alone (405)."""
    for route in routes():
        if route not in NO_PAGES:
            yield from addresses(route)


def _value(route: str, kind: str, found: re.Match[str]) -> str:
    name, before = found[1], route[: found.start()]
    if name == "kind":
        return kind
    if name == "noun":
        return "lots"
    if name == "place":
        return "0"
    if name == "code":
        return str(PrintedSheet.objects.values_list("code", flat=True).first() or "S23456")
    if name == "event":
        plant = Plant.objects.order_by("pk").first()
        return str(Event.objects.filter(subjects__key=plant.key, kind="grafted").values_list("pk", flat=True).first() if plant else NOBODY)
    if name == "give":
        return str(Cultivar.objects.order_by("pk").values_list("pk", flat=True)[1])
    if name == "number":
        return "1"
    if before == "photos/":
        return str(Event.objects.filter(kind="photographed").values_list("pk", flat=True).first() or NOBODY)
    if before == "book/names/joined/":
        return str(next((join.ident for join in all_joins()), NOBODY))
    model = _OF.get(before)
    row = model._default_manager.filter(**_WHICH.get(before, {})).order_by("pk").first() if model else None
    return str(row.pk if row else NOBODY)
