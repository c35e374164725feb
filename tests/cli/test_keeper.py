"""A process that is kept running."""

from __future__ import annotations

import sys
import time
from pathlib import Path

from scionary.cli.keeper import Keeper

NOTE_AND = "import sys, time; open(sys.argv[1], 'a').write(f'{time.monotonic()}\\n'); "


def beginnings(path: Path) -> list[float]:
    return [float(line) for line in path.read_text().split()] if path.exists() else []


def wait_for(path: Path, count: int) -> list[float]:
    until = time.monotonic() + 20
    while len(beginnings(path)) < count:
        assert time.monotonic() < until, "waited too long"
        time.sleep(0.02)
    return beginnings(path)


def test_what_dies_is_begun_again_after_longer_and_longer_pauses(tmp_path: Path) -> None:
    keeper = Keeper([sys.executable, "-c", NOTE_AND, str(tmp_path / "begun")], pause_s=0.2)
    keeper.start()
    first, second, third, fourth = wait_for(tmp_path / "begun", 4)[:4]
    keeper.end()
    assert second - first > 0.2
    assert third - second > 0.4
    assert fourth - third > 0.8


def test_what_is_ended_is_not_begun_again(tmp_path: Path) -> None:
    keeper = Keeper([sys.executable, "-c", f"{NOTE_AND} time.sleep(60)", str(tmp_path / "begun")], pause_s=0.05)
    keeper.start()
    wait_for(tmp_path / "begun", 1)
    begun_s = time.monotonic()
    keeper.end()
    assert time.monotonic() - begun_s < 8
    time.sleep(0.5)
    assert len(beginnings(tmp_path / "begun")) == 1
