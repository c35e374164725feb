"""Opening a book from a program that has not loaded Django yet."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
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


def opened(book: Path) -> str:
    surroundings = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    surroundings |= {"SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off"}
    done = subprocess.run([sys.executable, "-c", PROGRAM], env=surroundings, capture_output=True, text=True, timeout=60, check=False)
    return done.stdout + done.stderr


def test_a_book_is_made_where_there_is_none_and_opened_again(tmp_path: Path) -> None:
    book = tmp_path / "a new folder" / "book.sqlite3"
    assert opened(book) == opened(book) == "My nursery\n"
    with sqlite3.connect(book) as connection:
        assert connection.execute("PRAGMA journal_mode").fetchone() == ("wal",)
        assert connection.execute("SELECT count(*) FROM book_nursery").fetchone() == (1,)


def test_a_file_that_is_no_book_is_refused_and_left_alone(tmp_path: Path) -> None:
    book = tmp_path / "book.sqlite3"
    book.write_text("Red Tarn, 8/10 took")
    assert opened(book).startswith(f"{book}: this file is no book.")
    assert book.read_text() == "Red Tarn, 8/10 took"
