"""The surroundings of the tests, set before Django reads its settings: a folder of their own, no log, a known key.

pytest loads this as a plugin (see `addopts` in pyproject.toml), because Django is set up before any conftest.
"""

from __future__ import annotations

import os
import tempfile

import pytest

FOLDER = tempfile.TemporaryDirectory(prefix="scionary-tests-", ignore_cleanup_errors=True)

os.environ["SCIONARY_BOOK"] = f"{FOLDER.name}/book.sqlite3"
os.environ["SCIONARY_LOGS"] = "off"
os.environ["SCIONARY_SECRET_KEY"] = "only for tests, this key is no secret at all"
for name in ("SCIONARY_LOGIN", "SCIONARY_HTTPS", "SCIONARY_DEBUG", "SCIONARY_HOSTS", "SCIONARY_ORIGINS"):
    os.environ.pop(name, None)


@pytest.hookimpl(tryfirst=True)
def pytest_configure(config: pytest.Config) -> None:
    """Tests on SQLite use a file, so that its settings (WAL, full synchronising) are tested too, not those of memory."""
    from django.conf import settings

    database = settings.DATABASES["default"]
    if database["ENGINE"].endswith("sqlite3"):
        database.setdefault("TEST", {})["NAME"] = f"{FOLDER.name}/tests.sqlite3"
