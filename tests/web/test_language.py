"""Every text of every page comes from the catalogue: proved by a language that nobody speaks."""

from __future__ import annotations

import calendar
import json
import re
from collections.abc import Iterator, Mapping
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.test.signals import template_rendered
from django.utils import timezone
from django.utils.translation import override

from every_page import NO_PAGES, addresses, pages
from full_book import fill
from pseudo import CLOSE, CODE, OPEN, other_letters, rewrite, untranslated, write_pseudo_language
from scionary import web
from scionary.answers.imports import PastReading, accept_past
from scionary.answers.jobs import start
from scionary.answers.schedule_asking import WORK
from scionary.answers.schedule_kept import keep_schedule
from scionary.answers.tasks import work_off
from scionary.answers.works import LastStep
from scionary.book import queries
from scionary.book.left_flags import UNCONFIRMED
from scionary.book.models import (
    BenchDay,
    Cultivar,
    Dome,
    Event,
    Graft,
    Job,
    Method,
    MotherTree,
    Nursery,
    Plant,
    PotKind,
    PrintedSheet,
    RootstockLot,
    ScionBag,
    Sensor,
    Tally,
    Trial,
    WeatherStation,
    Wish,
)
from scionary.book.practice import LABEL_MEDIA, LABEL_WEEKS_BEFORE
from scionary.demo import make_demo
from scionary.errors import Refused
from scionary.language import say
from web.made_schedule import NOW, SEASON, in_figures
from web.sent_pages import SALT, WEATHER, sent_pages

TODAY = date(2026, 11, 26)
# Django's own dates, signs of units, and what stands in a form as it is sent.
DATES = [*calendar.month_name, *calendar.month_abbr, *calendar.day_name, *calendar.day_abbr]
UNITS = ["mm", "cm", "in", "km", "mph", "kn", "kPa", "MJ", "kWh", "Wh", "mbar", "hPa", "inHg"]
CODE_OF_A_PLANT = re.compile(r"\b[2-9A-Z]{3} [2-9A-Z]{4}\b|\bS[2-9A-Z]{2} ?[2-9A-Z]{3}\b")  # Latin letters in any language
KNOWN = frozenset([*DATES, *UNITS, "English", "Scionary"])
# Pages that are asked in a way of their own, beside one of each route.
ASKED = [
    "/plan/tray/?length=540&width=280&pot=165&shape=round&other=98&cover=180&scion=90&bench_length=3000&bench_width=900",
    "/plan/rare/?cultivar=2&scions=4&days=2&domes=2&methods=2&anyway=on",
    "/bench/join/?stock=7&scion=3&unit=mm&method=side_veneer",
    "/bench/join/?stock=7&scion=1/8&unit=mm&method=t_bud&stage=dormant&stock_name=7&scion_name=8&stock_bark=9",
    "/bench/join/?stock=8&scion=6&unit=64ths&method=splice&stage=in-growth&stock_name=7&scion_name=8",
    "/bench/join/?stock=8&scion=6&unit=mm&method=saddle&skill=beginner",
    "/bench/join/?stock=12&scion=4&unit=mm&method=cleft&stage=dormant",
    "/plants/?state=left",
    "/plants/?state=2",
    "/plants/?q=2",
    "/plants/?q=7777",
    "/plants/?q=23?45?7",
    "/plants/nameless/?where=7&grafter=7&code=23??&within=30",
    "/findings/?factor=dome&stage=firm",
    "/findings/?factor=season&stage=growing",
    "/findings/?factor=lot&rate=next_season",
    "/findings/?factor=7",
    "/findings/difference/?factor=method",
    "/findings/difference/?factor=season",
    "/book/labels/medium/?name=7",
    "/7/",
]
# Pages that say something else while the book has no weather.
BARE = ["/book/weather/", "/book/weather/windows/", "/book/weather/limits/", "/bench/yard/", "/domes/", "/book/phones/", "/due/calendar/"]
PAST = "Name,Date,Grafts,Took,7\n{cultivar},2023-02-11,4,3,7\n7,2023-13-40,x,3,7\n,,,,\n{cultivar},2023,1,1,\n"
LOG = "Time,Temp,RH\n2026-11-25 10:00,21.5,95\n2026-11-25 10:10,x,95\n2026-11-25 10:20,21.0,96\n"
WISHES = "Name,Number,By when,Worth\n{cultivar},20,2028,7\n7,,2020-01-01,x\n"
AFTER = ("/undo", "/away/", "/end/", "/out/", "/account/logout/", "/names/two/")  # what takes something away comes last


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
    rewrite(WeatherStation, "name", "note")
    rewrite(Wish, "note")


def every_page(client: Client) -> Iterator[tuple[str, str]]:
    """A page of each route, which must be there, or be a door for what is sent alone; then each sent empty."""
    asked = [*pages()]
    for address in asked:
        answer = client.get(address, follow=True)
        assert answer.status_code in (200, 405), f"{address}: {answer.status_code}"
        assert answer["content-type"].startswith("text/html"), address
        yield address, page_of(answer)
    for address in ASKED:
        yield address, page_of(client.get(address, follow=True))
    for address in sorted(
        [*asked, *(each for route in NO_PAGES for each in addresses(route))], key=lambda each: any(word in each for word in AFTER)
    ):
        yield f"POST {address}", sent_empty(client, address)


def sent_empty(client: Client, address: str) -> str:
    """What is answered to a form without a field, or told on the next page; the book is as before, so that pages need not learn anew."""
    saved = transaction.savepoint()
    answer = client.post(address, {})
    told = [str(each) for each in get_messages(answer.wsgi_request)]
    undo = str(answer.wsgi_request.session.get("last_written", {}).get("what", ""))
    transaction.savepoint_rollback(saved)
    return page_of(answer) if answer.status_code != 303 else f"<p>{'</p><p>'.join([*told, undo])}</p>"


def page_of(response: Any) -> str:
    return response.content.decode() if response.get("content-type", "").startswith("text/html") else ""


def files_brought_in(client: Client) -> Iterator[tuple[str, str]]:
    """A table of past records, a wish list, a logger's file and a file that is none, each looked at and taken in."""
    cultivar = Cultivar.objects.order_by("pk")[0].spoken
    for what, text in (("past", PAST), ("wishes", WISHES), ("past", "7"), ("past", "\x00")):
        sent = {"what": what, "file": SimpleUploadedFile("7.csv", text.format(cultivar=cultivar).encode())}
        page = page_of(client.post("/book/import/look/", sent))
        yield f"{what} looked at", page
        for hidden in re.findall(r'name="sha256" value="(\w+)"', page)[:1]:
            for more in ({}, {"skip": "1", "stage": "firm", "date_order": "ymd"}):
                yield (
                    f"{what} taken in",
                    page_of(client.post("/book/import/accept/", {"sha256": hidden, "what": what, **more}, follow=True)),
                )
    for text in ("7", LOG):
        address = f"/domes/{Dome.objects.order_by('pk')[0].pk}/log/"
        yield "a log", page_of(client.post(address, {"file": SimpleUploadedFile("7.csv", text.encode())}, follow=True))


def stems_matched(client: Client) -> Iterator[tuple[str, str]]:
    """Stems matched to one another, and one measured that is asked about."""
    for scions, stocks in (("3\n2 x 20!", "7\n8\n?"), ("3\n20", "7 7\n8"), ("?", "?")):
        yield "matched", page_of(client.post("/bench/match/", {"scions": scions, "stocks": stocks, "unit": "mm", "method": "side_veneer"}))
    lot = RootstockLot.objects.order_by("pk")[0].pk
    for thickness in ("7.1", "1/8", "900", "0", "7 7"):
        sent = {"number": "7", "thickness": thickness, "unit": "mm"}
        yield "measured", page_of(client.post(f"/bench/measure/lots/{lot}/", sent, follow=True))


def works() -> Iterator[str]:
    """Long work in each state, watched."""
    for status in Job.Status:
        made = Job.objects.create(work="learn from results", status=status, asked_at=datetime(2026, 11, 26, 11, tzinfo=UTC))
        yield f"/work/{made.pk}/"


def weeks() -> Iterator[str]:
    """The weeks of a season while they are worked out, with a row to move, and what they need."""
    kept = keep_schedule(in_figures(broken=("7", "77", "777", "7777")), now=NOW)
    Job.objects.create(work=WORK, status=Job.Status.RUNNING, arguments={"season": SEASON}, asked_at=NOW)
    yield from (f"/plan/weeks/?season={SEASON}", f"/plan/weeks/{kept.ident}/row/1/", f"/plan/weeks/lists/?season={SEASON}")


def printed(client: Client) -> Iterator[tuple[str, str]]:
    """Paper that is printed, and what is keyed in from it."""
    dome, bench = Dome.objects.order_by("pk")[0], BenchDay.objects.order_by("pk").last()
    assert bench is not None
    for address, sent in (
        (f"/paper/card/{dome.pk}/", {}),
        ("/paper/round/", {"dome": [str(dome.pk)]}),
        (f"/paper/bench/{bench.pk}/", {"rows": "4"}),
    ):
        yield address, page_of(client.post(address, sent, follow=True))
    for sheet in PrintedSheet.objects.all():
        yield "keying", page_of(client.get(f"/paper/{sheet.code}/"))
        yield "keyed", page_of(client.post(f"/paper/{sheet.code}/", {"day": "2026-11-26", "r1": "firm", "cause1": "7"}, follow=True))


def templates() -> set[str]:
    """The name of each template of the pages."""
    folders = [Path(web.__file__).parent.glob(f"{each}templates") for each in ("", "*/")]
    return {str(file.relative_to(folder)) for found in folders for folder in found for file in folder.rglob("*.html")}


@pytest.fixture
def drawn() -> Iterator[set[str]]:
    """The names of the templates that were drawn."""
    names: set[str] = set()

    def note(sender: Any, template: Any, **more: Any) -> None:
        names.add(str(template.name))

    template_rendered.connect(note)
    yield names
    template_rendered.disconnect(note)


@pytest.mark.slow
def test_every_text_of_every_page_comes_from_the_catalogue(demo: None, client: Client, tongue: str, drawn: set[str]) -> None:
    client.defaults["HTTP_ACCEPT_LANGUAGE"] = tongue
    without = [(each, page_of(client.get(each))) for each in BARE]
    fill(Nursery.objects.get(), now=timezone.now(), letters=other_letters)
    read = [
        *without,
        *stems_matched(client),
        *printed(client),
        *((each, page_of(client.get(each))) for each in [*works(), *weeks()]),
        *files_brought_in(client),
        *sent_pages(client, tongue),
        *every_page(client),
    ]
    own = KNOWN | {*re.findall(r"[A-Za-z]+", f"{PAST} {WISHES} {LOG} {SALT} {WEATHER}"), "csv", *Nursery.objects.get().time_zone.split("/")}
    left = [
        f"{address}  {words}"
        for address, text in read
        for words in untranslated(
            CODE_OF_A_PLANT.sub("", text), own if "7.csv" in text or "/log/" in address or address == "a log" else KNOWN
        )
    ]
    assert left == []
    assert templates() - drawn == set()


@pytest.mark.slow
def test_asked_in_two_languages_in_turn_a_page_speaks_each(demo: None, client: Client, tongue: str) -> None:
    for address in ("/due/", "/plan/", "/findings/", "/findings/signs/", "/findings/difference/"):
        english, other, again = (page_of(client.get(address, headers={"accept-language": each})) for each in ("en-gb", tongue, "en-gb"))
        assert OPEN not in english
        assert OPEN in other
        assert [*untranslated(other, KNOWN)] == []
        assert OPEN not in again


def test_what_is_kept_in_the_book_is_english_whoever_writes_it(plant: Plant, write: Any, tongue: str, now: datetime) -> None:
    with override(tongue):
        write("left", plant, how="sale")
        accept_past(b"Name,Date,Grafts,Took\nRed Tarn,2023-02-11,1,1\nRed Tarn,2023,4,3\n", "7.csv", now=now, how=PastReading(stage="firm"))
    assert queries.plant(plant.pk).flags == [UNCONFIRMED]
    kept = [
        *Event.objects.values_list("payload", "device"),
        *Plant.objects.values_list("flags"),
        *Tally.objects.values_list("source", "note"),
    ]
    assert OPEN not in json.dumps(kept, ensure_ascii=False)
    assert Event.objects.filter(device__startswith="import ").exists()


def test_long_work_tells_in_the_language_of_whoever_began_it(db: None, tongue: str) -> None:
    def refuse(arguments: Mapping[str, Any], progress: Any, now: datetime) -> LastStep:
        assert arguments == {"file": 7}
        raise Refused(say("the file is empty."), where="file")

    now = datetime(2026, 11, 26, 11, tzinfo=UTC)
    with override(tongue):
        job = start("learn from results", {"file": 7}, now=now)
    work_off(job.pk, now=now, works={"learn from results": refuse})
    assert Job.objects.get(pk=job.pk).message == f"{OPEN}file{CLOSE}: {OPEN}the file is empty.{CLOSE}"
