"""The Makefile's ways to say where the pages are served."""

from __future__ import annotations

import os
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize(("typed", "environment", "port"), [(["PORT=8301"], {}, "8301"), ([], {"PORT": "8300"}, "8300"), ([], {}, "8000")])
def test_the_port_is_said_before_or_behind(typed: list[str], environment: dict[str, str], port: str) -> None:
    given = {name: value for name, value in os.environ.items() if name not in ("PORT", "MAKEFLAGS", "MAKEOVERRIDES")} | environment
    said = subprocess.run(["make", "-n", "run", *typed], cwd=ROOT, env=given, capture_output=True, text=True, check=True).stdout
    assert f"--port {port}" in said
