"""Pages that come only after something was sent, or only of certain plants: each is brought about in a full book."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any

from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template.loader import render_to_string
from django.test import Client
from django.utils import timezone
from django.utils.translation import override

from scionary.book.commands import GraftSetup, write_grafts
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Graft, MotherTree, Plant, ScionBag
from scionary.web.plants.several import FOR_ALL

WEATHER = "date,tmax (°C),tmin (°C),rain (mm)\n2026-05-01,21,9,0\n2026-05-02,x,9,3\n"
SALT = "Time,Temp,RH\n" + "".join(f"2026-11-2{day} {hour:02}:00,21.0,74.5\n" for day in (4, 5) for hour in range(24))
# Pages that nothing sent by a test brings about, with what they are drawn of.
BY_THEMSELVES: dict[str, dict[str, Any]] = {
    "400.html": {},
    "403.html": {},
    "403_csrf.html": {},
    "500.html": {},
    "registration/locked.html": {"cooloff_words": "7"},
    "registration/login.html": {"unsent": "[]"},
    "registration/unsent.html": {"sent": [("7", "7")], "to": "/", "page": "/"},
    "records/take_home.html": {"what": "tables"},
    "records/trust.html": {"fingerprint": "7", "shared": "https://7/"},
}


def sent_pages(client: Client, tongue: str) -> Iterator[tuple[str, str]]:
    """(what was sent, the page that came)."""
    yield from _several(client)
    yield from _nameless(client)
    yield from _undone(client)
    yield from _tapped(client)
    yield from _typed(client)
    yield from _files(client)
    yield from _certain_ones(client)
    with override(tongue):
        yield from ((name, render_to_string(name, context)) for name, context in BY_THEMSELVES.items())
        labels = {"wrong_labels": [(Plant.objects.all()[0], "7"), (Plant.objects.all()[1], "7")], "bench": BenchDay.objects.all()[0]}
        yield "wrong labels", render_to_string("bench/_wrong_labels.html", labels)


def _several(client: Client) -> Iterator[tuple[str, str]]:
    """What is written about several plants, and what is asked before some of them leave."""
    here = [str(plant.pk) for plant in Plant.objects.exclude(state__in=("dead", "left")).order_by("pk")[:3]]
    for kind in FOR_ALL:
        yield f"several {kind}", _html(client.post("/plants/several/", {"kind": kind, "plant": here}))
    yield "several are set apart", _html(_write(client, "quarantined", here[:1], reason="7"))
    yield "several leave", _html(_write(client, "left", here, how="gift"))


def _write(client: Client, kind: str, plants: list[str], **more: str) -> Any:
    return client.post("/plants/several/", {"kind": kind, "plant": plants, "write": "1", "on": "2026-11-26", **more}, follow=True)


def _nameless(client: Client) -> Iterator[tuple[str, str]]:
    """A plant is taken for one that does not stand out."""
    known = {"grafter": str(Graft.objects.exclude(grafter="")[0].grafter)}
    page = _html(client.get("/plants/nameless/", known))
    for plant in re.findall(r'name="plant" value="([\w-]+)"', page)[-1:]:
        yield "nameless", _html(client.post("/plants/nameless/this/", {**known, "plant": plant}, follow=True))


def _undone(client: Client) -> Iterator[tuple[str, str]]:
    """The cutting of a bag is undone from which a plant was grafted."""
    bag, plant = ScionBag.objects.order_by("pk")[0], Plant.objects.exclude(cultivar=None).order_by("pk")[0]
    now = timezone.now()
    write_grafts(GraftSetup(cultivar=plant.cultivar_id, happened_at=now, bag=bag.pk), 1, now=now)  # type: ignore[arg-type]
    cut = Event.objects.filter(kind="scions_cut", subjects__key=bag.key)[0]
    yield "cutting undone", _html(client.post("/undo/", {"event": str(cut.pk)}))


def _tapped(client: Client) -> Iterator[tuple[str, str]]:
    """One tap of a round, answered by the row alone."""
    for dome in Dome.objects.order_by("pk"):
        for plant in Plant.objects.filter(dome=dome, state="waiting").order_by("pk")[:1]:
            for saw in ("firm", "lost"):
                answer = client.post(f"/domes/{dome.pk}/round/{plant.pk}/", {"saw": saw}, headers={"HX-Request": "true"})
                yield f"tapped {saw}", _html(answer)


def _typed(client: Client) -> Iterator[tuple[str, str]]:
    """Two thicknesses typed at the bench, advised on before they are written."""
    for bench in BenchDay.objects.exclude(method=None).order_by("pk")[:1]:
        typed = {"stock": "7", "scion": "3"}
        yield "typed at the bench", _html(client.post(f"/bench/{bench.pk}/look/", typed, headers={"HX-Request": "true"}))


def _files(client: Client) -> Iterator[tuple[str, str]]:
    """A weather file looked at and taken in, and a salt test."""
    page = _html(client.post("/book/weather/look/", {"file": SimpleUploadedFile("7.csv", WEATHER.encode())}))
    yield "weather looked at", page
    for digest in re.findall(r'name="sha256" value="(\w+)"', page)[:1]:
        yield "weather taken in", _html(client.post("/book/weather/accept/", {"sha256": digest}, follow=True))
    log = f"/domes/{Dome.objects.order_by('pk')[0].pk}/log/"
    page = _html(client.post(log, {"file": SimpleUploadedFile("7.csv", SALT.encode()), "salt": "on"}))
    yield "salt test", page


def _certain_ones(client: Client) -> Iterator[tuple[str, str]]:
    """Every dome, some plants that are waited for, a tree that was grown from a plant, and phones while the book is shared."""
    waiting = Plant.objects.filter(state="waiting").order_by("pk")
    addresses: Iterable[str] = (
        *(f"/domes/{dome.pk}/" for dome in Dome.objects.all()),
        *(f"/plants/{plant.pk}/" for plant in waiting[:: max(waiting.count() // 8, 1)]),
        *(f"/book/trees/{tree.pk}/" for tree in MotherTree.objects.exclude(raised_from=None)),
        f"/book/cultivars/{Cultivar.objects.order_by('-pk')[0].pk}/",
    )
    yield from ((address, _html(client.get(address))) for address in addresses)
    before = settings.SHARED_ADDRESS, settings.TRUST_ADDRESS
    settings.SHARED_ADDRESS, settings.TRUST_ADDRESS = "https://7:7", "http://7:7"
    yield "phones of a shared book", _html(client.get("/book/phones/"))
    settings.SHARED_ADDRESS, settings.TRUST_ADDRESS = before


def _html(response: Any) -> str:
    return response.content.decode() if response.get("content-type", "").startswith("text/html") else ""
