"""Opening a book from a program that has not loaded Django yet."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

PROGRAM = """
from datetime import UTC, datetime
from scionary.book.opening import open_book
from scionary.errors import ScionaryError
try:
    print(open_book(now=datetime(2026, 2, 14, tzinfo=UTC)).name)
except ScionaryError as error:
    print(error)
"""

KILLED = """
import os
from scionary.book.opening import set_up_django
set_up_django()
from django.db.migrations.recorder import MigrationRecorder
usual = MigrationRecorder.record_applied
def killed(self, app, name):
    if name == "0007_names_that_spread":
        os._exit(9)
    usual(self, app, name)
MigrationRecorder.record_applied = killed
"""


def opened(book: Path, before: str = "", **more: str) -> str:
    surroundings = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    surroundings |= {"SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off", **more}
    done = subprocess.run(
        [sys.executable, "-c", before + PROGRAM], env=surroundings, capture_output=True, text=True, timeout=60, check=False
    )
    return done.stdout + done.stderr


def test_a_book_is_made_where_there_is_none_and_opened_again(tmp_path: Path) -> None:
    book = tmp_path / "a new folder" / "book.sqlite3"
    assert opened(book) == opened(book) == "My nursery\n"
    with sqlite3.connect(book) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("SELECT count(*) FROM book_nursery").fetchone() == (1,)


def test_a_book_whose_making_was_killed_before_a_step_was_noted_is_made_by_the_next_start(tmp_path: Path) -> None:
    book = tmp_path / "book.sqlite3"
    assert opened(book, before=KILLED) == ""
    with closing(sqlite3.connect(book)) as connection:
        last = connection.execute("SELECT name FROM django_migrations WHERE app = 'book' ORDER BY id DESC LIMIT 1").fetchone()
    assert last == ("0006_name_inferred",)
    assert opened(book) == "My nursery\n"


def test_a_file_that_is_no_book_is_refused_and_left_alone(tmp_path: Path) -> None:
    book = tmp_path / "book.sqlite3"
    book.write_text("Red Tarn, 8/10 took")
    assert opened(book).startswith(f"{book}: this file is no book.")
    assert book.read_text() == "Red Tarn, 8/10 took"


def test_a_book_of_a_newer_program_is_left_alone_and_what_to_do_is_said(tmp_path: Path) -> None:
    book = tmp_path / "book.sqlite3"
    opened(book)
    with closing(sqlite3.connect(book)) as connection, connection:
        connection.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('book', '9999_from_later', '2030-01-01')")
        connection.execute("DELETE FROM django_migrations WHERE app = 'book' AND name LIKE '0003%'")
        before = connection.execute("SELECT app, name FROM django_migrations ORDER BY id").fetchall()
    said = opened(book)
    assert "this book was written by a newer version of the program" in said
    assert "Bring the program up to date" in said
    with closing(sqlite3.connect(book)) as connection:
        assert connection.execute("SELECT app, name FROM django_migrations ORDER BY id").fetchall() == before


def test_a_file_named_as_a_database_address_is_kept_as_safely(tmp_path: Path) -> None:
    book = tmp_path / "crew.sqlite3"
    assert opened(tmp_path / "other.sqlite3", DATABASE_URL=f"sqlite:///{book}") == "My nursery\n"
    with closing(sqlite3.connect(book)) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
