"""Make the sample book that the tests of migrations start from.

    python tests/data/books/make_first_book.py NEW_FILE [MIGRATION]

The file that is kept, first_book.sqlite3, was made once with the tables of migration 0001 and stays as it is: it
stands for a book that somebody has. Its content is fixed, but for the ids. All of it lies in the one file.
"""

from __future__ import annotations

import os
import sqlite3
import sys
from datetime import UTC, datetime, timedelta
from pathlib import Path

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)


def make(path: Path, *migration: str) -> None:
    os.environ |= {"SCIONARY_BOOK": str(path), "SCIONARY_LOGS": "off", "SCIONARY_SECRET_KEY": "only to make a sample"}
    os.environ.pop("DATABASE_URL", None)
    from scionary.book.opening import set_up_django

    set_up_django()
    from django.core.management import call_command
    from django.db import connection

    call_command("migrate", "book", *migration, verbosity=0)
    fill()
    connection.close()
    with sqlite3.connect(path) as plain:
        plain.execute("PRAGMA journal_mode=DELETE")
        plain.execute("PRAGMA page_size=1024")
        plain.execute("VACUUM")


def fill() -> None:
    """Three grafts in one dome and what became of them, a wish, a tally and an hour of readings."""
    import numpy as np

    from scionary.book.commands import GraftSetup, correct, cultivar_called, save_noun, start_book, undo, write_event, write_grafts
    from scionary.book.models import Dome, Method, RootstockLot, Sensor, Tally, Wish
    from scionary.book.readings import keep_file, store_readings

    start_book(now=NOW, name="Tarn Bridge", latitude_deg=47.2, altitude_m=610.0, time_zone="Europe/Zurich")
    cultivar = cultivar_called("Red Tarn", now=NOW)
    dome = save_noun(Dome, {"name": "Dome 1", "stands": "north window"}, now=NOW)
    lot = save_noun(RootstockLot, {"name": "24-B", "count": 60, "diameter_mm": 7.0}, now=NOW)
    method = Method.objects.order_by("name")[0]
    setup = GraftSetup(cultivar.pk, NOW, method=method.pk, lot=lot.pk, dome=dome.pk, scion_mm=5.0, stock_mm=7.0, grafter="Ina")
    first, second, third = write_grafts(setup, 3, now=NOW, device="phone").plants

    def later(kind: str, key: str, days: float, **payload: object) -> None:
        moment = NOW + timedelta(days=days)
        answers.append(write_event(kind, key, payload, happened_at=moment, now=moment))

    answers: list = []
    later("watered", dome.key, 7, water_mm=8)
    later("vented", dome.key, 31, open_pct=33)
    later("scored", first.key, 31, sign="firm", answer="yes")
    later("lost", second.key, 31, sign="black bark", cause="mould")
    later("lost", third.key, 31)
    undo(answers[-1].id, now=NOW + timedelta(days=32))
    later("moved", first.key, 46, stands="cold frame", place=2)
    correct(answers[-1].id, {"place": 3}, now=NOW + timedelta(days=47))
    save_noun(Wish, {"cultivar": cultivar, "wanted": 12, "season": 2026}, now=NOW)
    save_noun(Tally, {"cultivar": cultivar, "grafts": 10, "takes": 8, "stage": "firm", "season": 2025}, now=NOW)
    sensor = save_noun(Sensor, {"name": "logger 1", "dome": dome}, now=NOW)
    minutes = np.arange(60.0)
    store_readings(sensor, np.column_stack([NOW.timestamp() + 60 * minutes, 21 + minutes / 60, 93 - minutes / 30]))
    keep_file(b"time,temperature\n2026-02-14 10:30,21.0\n", "dome 1.csv", "logger", now=NOW)


if __name__ == "__main__":
    if not 2 <= len(sys.argv) <= 3 or Path(sys.argv[1]).exists():
        sys.exit("give the name of a file that does not exist yet, and a migration if not the last")
    make(Path(sys.argv[1]), *sys.argv[2:])
