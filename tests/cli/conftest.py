"""Running a command as a person types it, in this process, on the test's book."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import pytest

from scionary.cli import main


@dataclass(frozen=True)
class Typed:
    """What a command wrote, and its exit code."""

    out: str
    err: str
    code: int

    @property
    def json(self) -> Any:
        return json.loads(self.out)


@pytest.fixture
def scionary(nursery: object, capsys: pytest.CaptureFixture[str]) -> Callable[..., Typed]:
    """scionary("bench", "Red Tarn", "3") runs `scionary bench 'Red Tarn' 3`."""

    def run(*arguments: str) -> Typed:
        capsys.readouterr()
        code = 0
        try:
            main(arguments)
        except SystemExit as leaving:
            code = int(leaving.code or 0)
        said = capsys.readouterr()
        return Typed(said.out, said.err, code)

    return run
