"""Fills the demo book so that every page has something to show.

As a program it does so in the book that the settings name, and prints the addresses of its pages, one a line.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

from PIL import Image

if __name__ == "__main__":
    from scionary.book.opening import open_book

    open_book(now=datetime.now(UTC))

from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.jobs import start
from scionary.answers.joining import join
from scionary.answers.paper import print_dome_card
from scionary.answers.photos import take_photo
from scionary.answers.schedule_beside import WORK as BESIDE
from scionary.answers.schedule_kept import keep_schedule
from scionary.answers.tasks import work_off
from scionary.answers.weather_import import accept_weather
from scionary.answers.works import WORKS
from scionary.book.bags import Cut, cut_scions
from scionary.book.calendar_feeds import open_feed
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Job, KeptSchedule, MotherTree, Nursery, Plant
from scionary.book.phones import name_phone
from scionary.book.record import NewEvent, record_events
from web.made_schedule import SEASON, in_figures


def fill(nursery: Nursery, *, now: datetime, letters: Callable[[str], str] = str) -> None:
    """A bag, a photo, weather, a joined name, weeks of a season, long work, a phone, paper, two records at odds; names in these letters."""
    plant, today = Plant.objects.order_by("pk")[0], now.astimezone(nursery.zone).date()
    given = {"happened_at": now, "now": now, "who": ""}
    cut_scions(Cut(MotherTree.objects.order_by("pk")[0], 12, now - timedelta(hours=3), care="stalks_left"), nursery, now=now)
    take_photo(_picture, 1, "7.png", plant.key, note="", event_id=uuid7(), **given)  # type: ignore[arg-type]
    accept_weather(_weather(today), "7.csv", now=now, station=letters("by the beck"))
    dome = Dome.objects.order_by("pk")[0]
    set_bench(BenchSetting(str(plant.cultivar), today, dome=dome.name), nursery=nursery, now=now, ident=uuid7())
    save_noun(MotherTree, {"name": letters("by the wall"), "cultivar": plant.cultivar, "raised_from": plant}, now=now)
    first, second = (save_noun(Cultivar, {"spoken": letters(name)}, now=now) for name in ("Raven Garth", "Ravengarth"))
    join(first.pk, second.pk, now=now)
    if not KeptSchedule.objects.exists():
        keep_schedule(in_figures(), now=now)
    Job.objects.create(work=BESIDE, status=Job.Status.RUNNING, arguments={"season": SEASON, "words": "7"}, asked_at=now)
    home = start("take home", {"what": "tables"}, now=now)
    work_off(home.pk, now=now, works=WORKS)
    name_phone("7", now=now)
    open_feed("7", now=now)
    print_dome_card(dome.pk, today=today, now=now)
    _at_odds(plant, now)


def _at_odds(plant: Plant, now: datetime) -> None:
    """Two records under one id: the second is kept aside."""
    ident, dome = uuid7(), Dome.objects.order_by("pk")[0]
    for place in (7, 8):
        record_events([NewEvent("moved", now, (plant.key,), {"dome": str(dome.pk), "place": place}, id=ident)], now=now)


def _picture() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (40, 30), (90, 120, 60)).save(out, "PNG")
    return out.getvalue()


def _weather(today: date) -> bytes:
    """Three years by the day until a week from now, with a frost each winter."""
    days = [today + timedelta(days=at) for at in range(-3 * 365, 8)]
    rows = [f"{day},{abs(day.month - 7) * -3.5 + 24},{abs(day.month - 7) * -3.5 + 12},{day.day % 5}" for day in days]
    return "\n".join(["date,tmax (°C),tmin (°C),rain (mm)", *rows]).encode()


if __name__ == "__main__":
    from every_page import pages

    fill(Nursery.objects.get(), now=datetime.now(UTC))
    print(*pages(), sep="\n")
