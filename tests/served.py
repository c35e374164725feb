"""A book of its own, served on a free port by the program itself, for tests that need the real thing."""

from __future__ import annotations

import fcntl
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from importlib.metadata import distributions
from pathlib import Path
from typing import Any
from zlib import crc32

import pytest

import scionary


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def environment(folder: Path, **more: str) -> dict[str, str]:
    """The surroundings of a book in this folder, untouched by those of the tests; a new book has its tables already."""
    book = folder / "book.sqlite3"
    if not book.exists() and folder.is_dir():
        shutil.copy(_tables(), book)
    return surroundings(book, **more)


def surroundings(book: Path, **more: str) -> dict[str, str]:
    """The same for a book that may not be there yet."""
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL" and not name.startswith("SCIONARY_")}
    return {**kept, "SCIONARY_BOOK": str(book), "SCIONARY_LOGS": "off", **more}


@cache
def _tables() -> Path:
    """A file with the tables and no row: making them takes longer than most tests, so one is made for each state of the tables."""
    steps = sorted((Path(scionary.__file__).parent / "book" / "migrations").glob("*.py"))
    versions = "".join(sorted(f"{each.name} {each.version}" for each in distributions()))  # some of them bring tables along
    digest = sha256(b"".join([versions.encode(), *(step.read_bytes() for step in steps)])).hexdigest()[:16]
    made = Path(tempfile.gettempdir()) / f"scionary-tables-{os.getuid()}-{digest}" / "book.sqlite3"
    made.parent.mkdir(mode=0o700, exist_ok=True)
    with (made.parent / "lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not made.exists():
            begun = made.with_name("begun.sqlite3")
            begun.unlink(missing_ok=True)
            make = "import django; django.setup(); from django.core.management import call_command; call_command('migrate', verbosity=0)"
            told = surroundings(begun, DJANGO_SETTINGS_MODULE="scionary.settings", SCIONARY_SECRET_KEY="only-for-tests")
            subprocess.run([sys.executable, "-c", make], env=told, check=True, timeout=120)
            begun.rename(made)
    return made


def run(folder: Path, *arguments: str, code: int = 0) -> str:
    """What a command writes on the book in this folder; its exit code must be as said."""
    command = [sys.executable, "-m", "scionary", *arguments]
    done = subprocess.run(command, env=environment(folder), capture_output=True, text=True, timeout=120, check=False)
    assert done.returncode == code, f"{arguments}: {done.stdout}{done.stderr}"
    return done.stdout


def ask(folder: Path, *arguments: str, code: int = 0) -> Any:
    return json.loads(run(folder, *arguments, "--json", code=code))


def rebuilt_after(test: str) -> bool:
    """Whether a book is made again from its events after a test: in the short form after one in three, always the same ones."""
    return os.environ.get("SCIONARY_REBUILD") == "all" or crc32(test.encode()) % 3 == 0


def made_once(tmp_path_factory: pytest.TempPathFactory, name: str, make: Callable[[Path], None]) -> Path:
    """A folder of its own with what `make` puts into one: made by the first of the run's processes that asks, copied for each."""
    shared = tmp_path_factory.getbasetemp().parent if "PYTEST_XDIST_WORKER" in os.environ else tmp_path_factory.getbasetemp()
    with (shared / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        made = shared / f"{name}-made"
        if not made.exists():
            begun = tmp_path_factory.mktemp(f"{name}-begun")
            make(begun)
            begun.rename(made)
    own = tmp_path_factory.mktemp(name) / "own"
    shutil.copytree(made, own)
    return own


@contextmanager
def serving(folder: Path, *options: str, **more: str) -> Iterator[str]:
    """The address of the pages, which may need a moment to answer."""
    port = free_port()
    command = [sys.executable, "-m", "scionary", "serve", "--port", str(port), *options]
    process = subprocess.Popen(command, env=environment(folder, **more), stdout=subprocess.PIPE, text=True)
    try:
        yield f"http://127.0.0.1:{port}"
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=30)  # its worker has ten seconds to end; the rest is for a busy machine
    if rebuilt_after(folder.name):
        run(folder, "rebuild")  # ends with 1 when a column was not what the events say


def fetch(address: str, *, patience_s: float = 30) -> tuple[int, str, str]:
    """(status, final address, body), once the server answers."""
    until = time.monotonic() + patience_s
    while True:
        try:
            with urllib.request.urlopen(address, timeout=10) as answer:
                return answer.status, answer.url, answer.read().decode()
        except urllib.error.HTTPError as refusal:
            return refusal.code, address, refusal.read().decode()
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
