"""The writer is killed at random, again and again, on the same growing book: no acknowledged event is lost.

Short form: 15 kills. Long form, 300 kills: SCIONARY_KILLS=300 pytest tests/faults/test_kill.py
"""

from __future__ import annotations

import json
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from uuid import UUID

import pytest

pytestmark = pytest.mark.slow
KILLS = int(os.environ.get("SCIONARY_KILLS", "15"))
KILLS_WHILE_MADE = max(6, KILLS // 10)
SEED = 20_260_214
WRITER = Path(__file__).with_name("writer.py")
CHECK = """
from scionary.book.opening import set_up_django
set_up_django()
from scionary.book.projection import columns, rebuild
before = columns()
print(rebuild()["plants"], columns() == before)
"""


@pytest.fixture
def book(tmp_path: Path) -> Path:
    return tmp_path / "book.sqlite3"


def surroundings(book: Path) -> dict[str, str]:
    kept = {name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
    return {**kept, "SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off"}


def killed_writer(book: Path, seed: int, *, after_opening: bool, delay_s: float) -> list[str]:
    """Start the writer, kill it so long after it started or opened the book, give the lines that it had printed."""
    command = [sys.executable, str(WRITER), str(seed)]
    with subprocess.Popen(command, env=surroundings(book), stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as writer:
        assert writer.stdout is not None
        assert writer.stderr is not None
        if after_opening:
            assert writer.stdout.readline() == "open\n", writer.stderr.read()
        time.sleep(delay_s)
        writer.send_signal(signal.SIGKILL)
        lines, errors = writer.stdout.read().splitlines(), writer.stderr.read()
        assert writer.wait() == -signal.SIGKILL, errors
    return lines


def acknowledged(lines: list[str]) -> dict[UUID, int]:
    """Ids with their number of subjects; a line cut short by the kill was not acknowledged."""
    whole = [json.loads(line) for line in lines if line.startswith("{") and line.endswith("}}")]
    return {UUID(ident): count for line in whole for ident, count in line["events"].items()}


def stored(book: Path) -> dict[UUID, int]:
    """Ids of the events in the file with their number of subjects, read without Django."""
    with closing(sqlite3.connect(book)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        rows = connection.execute(
            "SELECT e.id, count(s.id) FROM book_event e LEFT JOIN book_eventsubject s ON s.event_id = e.id"
            " WHERE kind != 'edited' GROUP BY e.id"
        ).fetchall()
    return {UUID(ident): count for ident, count in rows}


def batches(book: Path) -> Counter[str]:
    with closing(sqlite3.connect(book)) as connection:
        notes = connection.execute("SELECT json_extract(payload, '$.note') FROM book_event WHERE kind IN ('grafted', 'moved')").fetchall()
    return Counter(note for (note,) in notes)


def code_numbers(book: Path) -> Iterator[int]:
    with closing(sqlite3.connect(book)) as connection:
        yield from (number for (number,) in connection.execute("SELECT code_number FROM book_plant"))


def test_no_acknowledged_event_is_lost_and_none_is_half_written(book: Path) -> None:
    chance = random.Random(SEED)
    known: dict[UUID, int] = {}
    begun_s, in_flight = time.monotonic(), 0
    for kill in range(KILLS):
        lines = killed_writer(book, kill, after_opening=True, delay_s=chance.uniform(0.0, 0.6))
        known |= acknowledged(lines)
        found = stored(book)
        assert known.items() <= found.items(), f"after kill {kill + 1} (seed {SEED})"
        assert all(found.values())
        in_flight += len(found) > len(known)
        known = found
    assert set(batches(book).values()) == {3}
    assert len(set(code_numbers(book))) == len(list(code_numbers(book))) > 0
    done = subprocess.run([sys.executable, "-c", CHECK], env=surroundings(book), capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(len(list(code_numbers(book)))), "True"]
    print(
        f"\n{KILLS} kills in {time.monotonic() - begun_s:.0f} s, {len(known)} events, {in_flight} kills between commit and acknowledgement"
    )


def test_a_book_whose_making_was_killed_is_made_by_the_next_start(tmp_path: Path) -> None:
    chance = random.Random(SEED)
    for kill in range(KILLS_WHILE_MADE):
        book = tmp_path / f"{kill}" / "book.sqlite3"
        killed_writer(book, kill, after_opening=False, delay_s=chance.uniform(0.5, 1.6))
        killed_writer(book, kill, after_opening=True, delay_s=0.05)
        stored(book)
        with closing(sqlite3.connect(book)) as connection:
            assert connection.execute("SELECT count(*) FROM book_nursery").fetchone() == (1,)
            assert connection.execute("SELECT count(*) FROM book_method").fetchone() == (2,)
