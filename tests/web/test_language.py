"""Every text of every page comes from the catalogue: proved by a language that nobody speaks."""

from __future__ import annotations

import calendar
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from pseudo import CODE, other_letters, rewrite, untranslated, write_pseudo_language
from scionary.book.models import (
    BenchDay,
    Cultivar,
    Dome,
    Event,
    Graft,
    Method,
    MotherTree,
    Nursery,
    Plant,
    PotKind,
    RootstockLot,
    ScionBag,
    Sensor,
    Trial,
    Wish,
)
from scionary.book.practice import LABEL_MEDIA, LABEL_WEEKS_BEFORE
from scionary.demo import make_demo
from scionary.names import code_of, grouped

TODAY = date(2026, 11, 26)
# Django's own dates, signs of units, and what stands in a form as it is sent.
KNOWN = frozenset([*calendar.month_name, *calendar.month_abbr, *calendar.day_name, *calendar.day_abbr, "mm", "kPa", "English", "Scionary"])
PAGES = [
    "/due/",
    "/due/calendar/",
    "/plan/",
    "/plan/rare/",
    "/plan/tray/",
    "/plan/tray/?length=540&width=280&pot=165&shape=round&other=98&cover=180&scion=90&bench_length=3000&bench_width=900",
    "/bench/",
    "/bench/new/",
    "/bench/standing/",
    "/bench/yard/",
    "/domes/",
    "/domes/new/",
    "/plants/",
    "/plants/photo/",
    "/plants/nameless/",
    "/findings/",
    "/findings/difference/",
    "/findings/trials/",
    "/findings/trials/new/",
    "/book/",
    "/book/settings/",
    "/book/import/",
    "/book/methods/",
    "/book/lots/",
    "/book/trees/",
    "/book/cultivars/",
    "/book/names/",
    "/book/phones/",
    "/paper/",
]
FIRST_OF = ["/domes/", "/plants/", "/bench/", "/book/methods/", "/findings/trials/", "/bench/yard/trees/"]


@pytest.fixture
def tongue(settings: Any, tmp_path: Path) -> str:
    write_pseudo_language(tmp_path)
    settings.LOCALE_PATHS = [tmp_path]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
    return CODE


@pytest.fixture
def demo(db: None) -> None:
    """The demo book with all that a person named in other letters."""
    make_demo(today=TODAY, now=datetime(TODAY.year, TODAY.month, TODAY.day, 11, tzinfo=UTC))
    rewrite(BenchDay, "grafter", "note")
    rewrite(Cultivar, "spoken", "botanical", "trade_designation", "protection_register", "note")
    rewrite(Dome, "name", "stands", "note")
    rewrite(Event, "who", "payload", only=("note", "stands", "grafter", "product", "medium", "label_medium", "label_says", "reason"))
    rewrite(Event, "payload", only=("sign", "cause"), kind="lost")
    rewrite(Graft, "grafter", "lost_sign", "lost_cause")
    rewrite(Method, "name", "note", "after_care", "practices", only=("say", "why", "name", "says", "topic", "picked", "practice"))
    rewrite(MotherTree, "name", "note")
    rewrite(Nursery, "name")
    Nursery.objects.update(label_media=other_letters([*LABEL_MEDIA, LABEL_WEEKS_BEFORE], ("medium",)))
    rewrite(Plant, "stands", "label_medium", "quarantine_reason", "name_doubt")
    rewrite(PotKind, "name", "note")
    rewrite(RootstockLot, "name", "species", "note")
    rewrite(ScionBag, "name", "stands", "note")
    rewrite(Sensor, "name")
    rewrite(Trial, "name", "question", "arms", "note")
    rewrite(Trial, "layout", "left_out", only=("name", "why"))
    rewrite(Wish, "note")


def _codes() -> frozenset[str]:
    """Both halves of every code: they are Latin letters in any language."""
    numbers = [*Plant.objects.exclude(code_number=None), *ScionBag.objects.exclude(code_number=None)]
    return frozenset(half for each in numbers for half in grouped(code_of(each.code_number)).split())


def pages(client: Client, tongue: str) -> Iterator[tuple[str, str]]:
    """Each page in that language; of things that have a page each, the first."""
    asked = list(PAGES)
    for address in asked:
        text = client.get(address, headers={"accept-language": tongue}, follow=True).content.decode()
        for place in FIRST_OF:
            found = re.search(rf"{place}[0-9a-f-]{{36}}/", text)
            if found and not any(each.startswith(place) and len(each) > len(place) + 30 for each in asked):
                asked.append(found[0])
        yield address, text


@pytest.mark.slow
def test_every_text_of_every_page_comes_from_the_catalogue(demo: None, client: Client, tongue: str) -> None:
    left = [f"{address}  {words}" for address, text in pages(client, tongue) for words in untranslated(text, KNOWN | _codes())]
    assert left == []
