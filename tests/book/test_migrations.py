"""Old books can be opened: the kept sample is brought up to date, and says what it said."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from book.test_opening import opened

FIRST = Path(__file__).parents[1] / "data" / "books" / "first_book.sqlite3"
MAKER = FIRST.with_name("make_first_book.py")
READ = """
import json
from scionary.book.opening import set_up_django
set_up_django()
from scionary.book import queries
from scionary.book.models import Sensor, Tally, Wish
from scionary.book.projection import columns, rebuild
from scionary.book.readings import load_readings
before = columns()
rebuild()
plants = [[p.spoken, p.state, p.stands, p.place, p.code_number] for p in queries.plants()]
readings = load_readings(Sensor.objects.get())
print(json.dumps({
    "same": columns() == before,
    "plants": plants,
    "story": [event.kind for event in queries.story(queries.plants()[0])],
    "wanted": Wish.objects.get().wanted,
    "takes": Tally.objects.get().takes,
    "readings": [len(readings), readings[0, 1]],
}))
"""
SAID = {
    "same": True,
    "plants": [["Red Tarn 1", "alive", "cold frame", 3, 0], ["Red Tarn 2", "dead", "", 2, 1], ["Red Tarn 3", "waiting", "", 3, 2]],
    "story": ["corrected", "moved", "scored", "vented", "watered", "grafted"],
    "wanted": 12,
    "takes": 8,
    "readings": [60, 21.0],
}


@pytest.fixture
def old_book(tmp_path: Path) -> Path:
    return shutil.copy(FIRST, tmp_path / "book.sqlite3")


def read(book: Path) -> dict[str, Any]:
    surroundings = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    surroundings |= {"SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off"}
    done = subprocess.run([sys.executable, "-c", READ], env=surroundings, capture_output=True, text=True, timeout=60, check=False)
    assert not done.returncode, done.stderr
    return dict(json.loads(done.stdout))


def migrations(book: Path) -> set[str]:
    with closing(sqlite3.connect(book)) as connection:
        return {name for (name,) in connection.execute("SELECT name FROM django_migrations WHERE app = 'book'")}


def test_the_sample_is_an_old_book_in_one_file() -> None:
    assert migrations(FIRST) == {"0001_initial"}
    assert FIRST.stat().st_size < 300_000


def test_an_old_book_is_brought_up_to_date_and_says_what_it_said(old_book: Path) -> None:
    assert opened(old_book) == "Tarn Bridge\n"
    written = {path.stem for path in (Path(__file__).parents[2] / "src/scionary/book/migrations").glob("0*.py")}
    assert migrations(old_book) == written
    assert read(old_book) == SAID


def test_the_models_have_no_change_without_a_migration(db: None) -> None:
    said = StringIO()
    call_command("makemigrations", "book", check=True, dry_run=True, stdout=said)
    assert "No changes detected" in said.getvalue()


def test_the_sample_can_be_made_again(tmp_path: Path) -> None:
    book = tmp_path / "again.sqlite3"
    subprocess.run([sys.executable, str(MAKER), str(book)], check=True, timeout=60)
    assert opened(book) == "Tarn Bridge\n"
    assert read(book) == SAID
