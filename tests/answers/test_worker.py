"""The worker process: killed in the middle of a job, it begins it again after a restart and ends it once."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

SCRIPT = Path(__file__).with_name("worker_of_tests.py")
START = """
import sys
from datetime import UTC, datetime
from scionary.book.opening import open_book
now = datetime.now(UTC)
open_book(now=now)
sys.path.insert(0, {folder!r})
import worker_of_tests
from scionary.answers import jobs
print(jobs.start("slow name", {{}}, now=now).pk.hex)
"""


class Book:
    """A book in a file, its worker as a process, and a look into both from outside."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "book.sqlite3"
        self.environment = {k: v for k, v in os.environ.items() if k not in ("DATABASE_URL", "DJANGO_SETTINGS_MODULE")}
        self.environment |= {"SCIONARY_BOOK": str(self.path), "SCIONARY_LOGS": "off"}
        self.environment["PYTHONPATH"] = os.pathsep.join(path for path in sys.path if path)
        self.workers: list[subprocess.Popen[bytes]] = []

    def start_job(self) -> str:
        script = START.format(folder=str(SCRIPT.parent))
        done = subprocess.run([sys.executable, "-c", script], env=self.environment, capture_output=True, text=True, check=True, timeout=60)
        return done.stdout.split()[-1]

    def start_worker(self, parent: int | None = None) -> subprocess.Popen[bytes]:
        command = [sys.executable, str(SCRIPT), str(parent or os.getpid())]
        worker = subprocess.Popen(command, env=self.environment, stderr=subprocess.DEVNULL)
        self.workers.append(worker)
        return worker

    def row(self, query: str, *values: Any) -> tuple[Any, ...]:
        with closing(sqlite3.connect(f"file:{self.path}?mode=ro", uri=True, timeout=10)) as connection:
            return tuple(connection.execute(query, values).fetchone())

    def job(self, ident: str) -> dict[str, Any]:
        names = ("status", "fraction", "result", "word")
        return dict(zip(names, self.row("select status, fraction, result, word from book_job where id = ?", ident), strict=True))

    def cultivars(self) -> int:
        return int(self.row("select count(*) from book_cultivar")[0])


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    made = Book(tmp_path)
    yield made
    for worker in made.workers:
        worker.kill()
        worker.wait(timeout=10)


def wait_until(true: Callable[[], bool], seconds: float = 30.0) -> None:
    end = time.monotonic() + seconds
    while not true():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.05)


@pytest.mark.own_book
@pytest.mark.slow
def test_killed_work_is_begun_again_and_ends_once(book: Book) -> None:
    job = book.start_job()
    first = book.start_worker()
    wait_until(lambda: 0.2 < book.job(job)["fraction"] < 0.9)
    seen = book.job(job)
    assert seen["status"] == "running"
    assert seen["word"].startswith("step ")
    os.kill(first.pid, signal.SIGKILL)
    first.wait(timeout=10)
    assert book.cultivars() == 0
    assert book.job(job)["status"] == "running"

    second = book.start_worker()
    third = book.start_worker()  # one of the two holds the book's lock, the other waits behind it
    wait_until(lambda: book.job(job)["status"] == "done")
    time.sleep(1.5)
    assert json.loads(book.job(job)["result"]) == {"written": "Red Tarn 0"}
    assert book.cultivars() == 1
    assert (second.poll(), third.poll()) == (None, None)
    second.terminate()
    third.terminate()
    assert 0 in (second.wait(timeout=10), third.wait(timeout=10))  # the working one ends in order; the waiting one has nothing to end


@pytest.mark.own_book
@pytest.mark.slow
def test_a_worker_ends_when_what_started_it_is_gone(book: Book) -> None:
    book.start_job()
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait(timeout=10)
    assert book.start_worker(parent=gone.pid).wait(timeout=20) in (0, -signal.SIGTERM)
