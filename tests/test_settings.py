"""What the settings make of their surroundings, asked of a program of its own."""

from __future__ import annotations

import json
import os
import stat
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

PROGRAM = """
import json
from scionary import settings
options = settings.DATABASES["default"].get("OPTIONS", {})
log = settings.LOGGING["handlers"].get("file", {}).get("filename", "")
print(json.dumps({"key": settings.SECRET_KEY, "hosts": settings.ALLOWED_HOSTS, "options": options, "log": str(log)}))
"""

STRANGER = """
from datetime import UTC, datetime
from scionary.book.opening import open_book
open_book(now=datetime.now(UTC))
from django.test import Client
print(Client().get("/due/", headers={"host": "evil.example"}).status_code)
"""


def settings_of(folder: Path, **more: str) -> dict[str, Any]:
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL" and not name.startswith("SCIONARY_")}
    environment = {**kept, "SCIONARY_BOOK": str(folder / "book.sqlite3"), **more}
    done = subprocess.run([sys.executable, "-c", PROGRAM], env=environment, capture_output=True, text=True, timeout=60, check=True)
    return dict(json.loads(done.stdout))


def test_only_this_machine_may_be_named_unless_more_is_set(tmp_path: Path) -> None:
    assert settings_of(tmp_path)["hosts"] == ["localhost", "127.0.0.1", "[::1]"]
    assert settings_of(tmp_path, SCIONARY_HOSTS="tarn.local")["hosts"][-1] == "tarn.local"


@pytest.mark.parametrize("address", ["", "sqlite:////tmp/never-opened.sqlite3"])
def test_a_file_is_always_written_one_at_a_time_and_forced_to_the_disk(tmp_path: Path, address: str) -> None:
    options = settings_of(tmp_path, **({"DATABASE_URL": address} if address else {}))["options"]
    assert options["transaction_mode"] == "IMMEDIATE"
    assert "synchronous=FULL" in options["init_command"]
    assert "journal_mode=WAL" in options["init_command"]


def test_a_key_is_made_once_and_only_its_owner_can_read_it(tmp_path: Path) -> None:
    first = settings_of(tmp_path)["key"]
    path = tmp_path / "scionary-secret.key"
    assert path.read_text() == first == settings_of(tmp_path)["key"]
    assert len(first) > 60
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert list(tmp_path.glob("*.part")) == []


def test_a_key_that_was_cut_short_by_a_crash_is_made_anew(tmp_path: Path) -> None:
    (tmp_path / "scionary-secret.key").touch()
    assert len(settings_of(tmp_path)["key"]) > 60


def test_a_stranger_s_name_for_this_machine_is_refused_and_fills_no_terminal(tmp_path: Path) -> None:
    kept = {name: value for name, value in os.environ.items() if name != "DATABASE_URL" and not name.startswith("SCIONARY_")}
    environment = {**kept, "SCIONARY_BOOK": str(tmp_path / "book.sqlite3"), "DJANGO_SETTINGS_MODULE": "scionary.settings"}
    done = subprocess.run([sys.executable, "-c", STRANGER], env=environment, capture_output=True, text=True, timeout=60, check=True)
    assert (done.stdout, done.stderr) == ("400\n", "")


def test_pages_and_worker_write_logs_of_their_own(tmp_path: Path) -> None:
    assert Path(settings_of(tmp_path)["log"]).name == "scionary.log"
    assert Path(settings_of(tmp_path, SCIONARY_WORKER="1")["log"]).name == "scionary-worker.log"
