"""An address of every page of the site, with things of the book that is open."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import partial
from uuid import UUID

from django.db.models import Model
from django.urls import URLResolver, get_resolver

from scionary.book.models import (
    BenchDay,
    Cultivar,
    Dome,
    Event,
    Job,
    Method,
    MotherTree,
    Photo,
    Plant,
    PrintedSheet,
    RootstockLot,
    ScionBag,
    Trial,
    Wish,
)
from scionary.web.plants.views import WRITTEN_BY_HAND
from scionary.web.records.nouns import NOUN_PAGES

NOBODY = UUID(int=0)
_PARAMETER = re.compile(r"<(?:\w+:)?(\w+)>")
_FILES = (".pdf", ".jpg", ".ics", ".js", ".webmanifest", ".json")
# What a parameter stands for, by the part of the route before it; elsewhere it names nothing.
_OF: Mapping[str, type[Model]] = {
    "due/in-leaf/": Plant,
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
    "work/": Job,
    "photos/": Photo,
    "paper/card/": Dome,
    "paper/bench/": BenchDay,
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
        yield "/" + _PARAMETER.sub(partial(_value, route, kind), route)


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
    model = _OF.get(before)
    row = model._default_manager.order_by("pk").first() if model else None
    return str(row.pk if row else NOBODY)
