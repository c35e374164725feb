"""`scionary tray`: how many pots stand on a tray, with and without a book."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scionary.book.models import Nursery

pytestmark = pytest.mark.django_db
ASKED = ("tray", "--length", "540", "--width", "280")


def test_it_says_how_many_and_where(scionary: Callable[..., Any]) -> None:
    done = scionary(*ASKED, "--pot", "98")
    assert done.code == 0
    assert done.out.startswith("10 square pots of 98 mm stand on a tray of 540 × 280 mm inside.\n")
    assert "     10  98 mm  466 mm  189 mm" in done.out


def test_without_a_book_it_answers_and_makes_none(tmp_path: Path) -> None:
    book = tmp_path / "none" / "book.sqlite3"
    surroundings = {**os.environ, "SCIONARY_BOOK": str(book)}
    surroundings.pop("DATABASE_URL", None)
    line = [sys.executable, "-m", "scionary", *ASKED, "--pot", "4 in", "--json"]
    done = subprocess.run(line, capture_output=True, text=True, check=True, env=surroundings)
    assert '"count": 10' in done.stdout
    assert not book.parent.exists()


def test_bare_numbers_are_in_the_books_unit(
    scionary: Callable[..., Any], nursery: Nursery, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SCIONARY_BOOK", str(tmp_path))
    nursery.length_unit = "in"
    nursery.save()
    done = scionary("tray", "--length", "20 1/2", "--width", "10 1/2", "--pot", "4 1/2", "--round")
    assert done.out.startswith("9 round pots of 4 1/2 in stand on a tray of 20 1/2 × 10 1/2 in inside.")
    assert scionary(*ASKED, "--pot", "98", "--unit", "mm").out.startswith("10 square pots of 98 mm")


def test_kinds_are_mixed(scionary: Callable[..., Any]) -> None:
    told = scionary(*ASKED, "--pot", "2 x 165", "--pot", "98", "--json").json
    assert [(kind["count"], kind["left_over"]) for kind in told["pots"]] == [(2, 0), (7, 0)]


def test_cover_and_bench_are_answered_too(scionary: Callable[..., Any]) -> None:
    more = ("--cover", "180", "--pot-height", "90", "--scion", "85", "--bench", "2200", "--bench", "600", "--wall", "5")
    done = scionary(*ASKED, "--pot", "98", *more)
    assert "A bench of 2200 × 600 mm takes 8 trays: 80 pots." in done.out
    assert "  but: The cover is too low for them. Scions stand 85 mm above the rim" in done.out


def test_the_tray_is_printed(scionary: Callable[..., Any], tmp_path: Path) -> None:
    for name, more in (("map.pdf", ()), ("full.pdf", ("--full-size", "--page", "letter"))):
        assert scionary(*ASKED, "--pot", "98", "--out", str(tmp_path / name), *more).code == 0
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")


def test_no_pot_that_stands_is_answered_with_no(scionary: Callable[..., Any], tmp_path: Path) -> None:
    done = scionary(*ASKED, "--pot", "300", "--out", str(tmp_path / "none.pdf"))
    assert (done.code, done.out) == (1, "No such pot stands on a tray of 540 × 280 mm inside.\n  Pots of at most 280 mm would stand.\n")
    assert not (tmp_path / "none.pdf").exists()


@pytest.mark.parametrize(
    ("more", "said"),
    [
        (("--pot", "raund 98"), "--pot: 'raund 98' is no length. Write it like 540"),
        (("--pot", "98", "--clearance", "much"), "--clearance: 'much' is no length."),
        (("--pot", "98", "--bench", "900"), "--bench: a bench has a length and a width."),
        (("--pot", "98", "--unit", "cm"), "--unit: 'cm' is no unit. Give mm or in."),
        (("--pot", "98", "--tolerance", "90"), "tolerance_mm is 90"),
        (("--pot", "1"), "holds at most 100,000"),
    ],
)
def test_what_cannot_be_is_refused(scionary: Callable[..., Any], more: tuple[str, ...], said: str) -> None:
    done = scionary(*ASKED, *more)
    assert done.code == 2
    assert said in done.err
