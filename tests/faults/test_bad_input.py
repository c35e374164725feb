"""A sweep of what can be typed wrong over all commands: refused in words, never a traceback, never half-written.

Short form: each option is tried with a sixth of the values, so that all are tried many times. Long form: SCIONARY_SWEEP=all.
"""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from scionary.book.models import Event, Nursery, Plant, Wish
from scionary.book.projection import columns, rebuild
from scionary.cli import main

pytestmark = pytest.mark.django_db

WORDS = [
    "",
    " ",
    "x" * 10_000,
    "🌱" * 50,
    "\u202eRed Tarn",
    "a\x07b\x1b[31m",
    "a\x00b",
    "\udc80",
    "-1",
    "nan",
    "1e999",
    "9" * 5000,
    "²",
    "%s%n",
    "'; --",
]
NUMBERS = ["-1", "0", "1e9", "nan", "inf", "9" * 20, "²", "1.5", "x", ""]
DAYS = ["0001-01-01", "1799-12-31", "1800-01-01", "2026-02-29", "2024-02-29", "2999-12-31", "3000-01-01", "9999-12-31", "31.7.2026", "x"]
WITH_WORDS = [
    ["bench", "{}"],
    *(
        ["bench", "Red Tarn", option, "{}"]
        for option in ("--dome", "--method", "--lot", "--tree", "--stock", "--scion", "--grafter", "--note")
    ),
    ["labels", "--out", "{out}", "{}"],
    ["labels", "--out", "{out}", "--dome", "{}"],
    ["labels", "--out", "{out}", "--grid", "{}"],
    ["round", "{}"],
    ["round", "Dome 1", "{}"],
    ["round", "Dome 1", "{}=firm"],
    ["round", "Dome 1", "1={}"],
    ["round", "Dome 1", "--note", "{}"],
    ["air", "{}"],
    ["air", "--dome", "{}"],
    ["plan", "{}"],
    ["plan", "3 {}"],
    ["plan", "{} Red Tarn"],
    ["findings", "--stage", "{}"],
    ["findings", "--by", "{}"],
    ["findings", "--rate", "{}"],
    ["findings", "--compare", "{}", "--with", "Red Tarn"],
    ["export", "{out}", "--what", "{}"],
    ["export", "{out}", "--what", "summary", "--stage", "{}"],
    ["find", "{}"],
    ["import", "{}"],
    ["import", "{file}", "--column", "{}"],
    ["import", "{file}", "--column", "{}=cultivar"],
    ["import", "{file}", "--date-order", "{}"],
    ["import", "{file}", "--stage", "{}"],
    ["import", "{file}", "--as", "{}"],
    ["import", "{file}", "--as", "logger", "--dome", "{}"],
    ["restore", "{}"],
    ["plan", "--rare", "{}"],
    ["trial", "new", "{}", "--arm", "film", "--arm", "rubber"],
    ["trial", "new", "X", "--arm", "film", "--arm", "{}"],
    *(["trial", "new", "X", "--arm", "film", "--arm", "rubber", option, "{}"] for option in ("--question", "--dome", "--only", "--stage")),
    ["trial", "show", "{}"],
    ["trial", "sheet", "{}", "--out", "{out}"],
    ["trial", "skip", "{}", "Dome 1", "1", "--why", "x"],
    ["trial", "skip", "Kept", "{}", "1", "--why", "x"],
    ["trial", "skip", "Kept", "Dome 1", "1", "--why", "{}"],
    *(["names", verb, "Red Tarn", "{}"] for verb in ("add", "join", "two")),
    *(["names", verb, "{}"] for verb in ("show", "undo", "remove")),
]
WITH_NUMBERS = [
    ["bench", "Red Tarn", "{}"],
    ["labels", "--out", "{out}", "--start-at", "{}"],
    ["round", "Dome 1", "--vent", "{}"],
    ["air", "--dome", "Dome 1", "--days", "{}"],
    ["plan", "--season", "{}"],
    ["plan", "2 Red Tarn", "--season", "{}"],
    ["plan", "2 Red Tarn", "--sure", "{}"],
    ["import", "{file}", "--as", "wishes", "--season", "{}"],
    ["serve", "--port", "{}"],
    *(["plan", "--rare", "Red Tarn", option, "{}"] for option in ("--scions", "--days", "--domes", "--methods")),
    *(
        ["trial", "new", "X", "--arm", "film", "--arm", "rubber", option, "{}"]
        for option in ("--fillings", "--grafts", "--difference", "--seed")
    ),
    ["trial", "skip", "Kept", "Dome 1", "{}", "--why", "x"],
]
WITH_DAYS = [
    ["bench", "Red Tarn", "--on", "{}"],
    ["labels", "--out", "{out}", "--dome", "Dome 1", "--card", "--on", "{}"],
    ["round", "Dome 1", "--on", "{}"],
    ["round", "Dome 1", "1=firm", "--on", "{}"],
    ["air", "--dome", "Dome 1", "--on", "{}"],
    ["due", "--on", "{}"],
    ["plan", "--on", "{}"],
    ["plan", "2 Red Tarn", "--on", "{}"],
    ["plan", "--take", "--on", "{}"],
    ["trial", "new", "X", "--arm", "film", "--arm", "rubber", "--begins", "{}"],
    ["trial", "list", "--on", "{}"],
    ["trial", "show", "Kept", "--on", "{}"],
]


def run(line: list[str]) -> int:
    """The exit code of a command."""
    with pytest.raises(SystemExit) as leaving:
        main(line)
    return int(leaving.value.code or 0)


def command(line: list[str], value: str, places: dict[str, str]) -> list[str]:
    return [part.replace("{out}", places["out"]).replace("{file}", places["file"]).replace("{}", value) for part in line]


def part(values: list[str], at: int) -> list[str]:
    return values if os.environ.get("SCIONARY_SWEEP") == "all" else values[at % 6 :: 6]


@pytest.mark.parametrize(
    ("line", "values"),
    [
        (line, part(values, at))
        for lines, values in ((WITH_WORDS, WORDS), (WITH_NUMBERS, NUMBERS), (WITH_DAYS, DAYS))
        for at, line in enumerate(lines)
    ],
    ids=lambda given: " ".join(given) if "{}" in "".join(given) else "",
)
def test_whatever_is_typed_is_done_or_refused_in_words(
    nursery: Nursery, capsys: pytest.CaptureFixture[str], tmp_path: Path, line: list[str], values: list[str]
) -> None:
    (tmp_path / "past.csv").write_text("Cultivar,Grafted on,Grafts,Took\nRed Tarn,2025-02-01,10,8\n", encoding="utf-8")
    places = {"out": str(tmp_path / "labels.pdf"), "file": str(tmp_path / "past.csv")}
    run(["bench", "Red Tarn", "3", "--dome", "Dome 1"])
    run(["trial", "new", "Kept", "--arm", "film", "--arm", "rubber"])
    for value in values:
        before = Plant.objects.count(), Event.objects.exclude(kind="edited").count(), Wish.objects.count()
        capsys.readouterr()
        code = run(command(line, value, places))
        said = capsys.readouterr()
        assert code in (0, 1, 2), said.err
        (said.out + said.err).encode()
        if code == 2:
            assert said.err.startswith("Refused. ") or "Error: " in said.err
            assert "Traceback" not in said.err
            assert (Plant.objects.count(), Event.objects.exclude(kind="edited").count(), Wish.objects.count()) == before
        assert "\x1b" not in said.out + said.err
    kept = columns()
    rebuild()
    assert columns() == kept


@pytest.mark.parametrize("day", ["0001-01-01", "1799-12-31", "3000-01-01", "9999-12-31"])
def test_days_outside_what_a_book_holds_are_refused(nursery: Nursery, capsys: pytest.CaptureFixture[str], day: str) -> None:
    for line in (["due"], ["plan"], ["bench", "Red Tarn"]):
        assert run([*line, "--on", day]) == 2
        assert "Give a day from 1800 to 2999." in capsys.readouterr().err
    assert not Plant.objects.exists()


@pytest.mark.parametrize("wish", ["1.5 Red Tarn", "1e9 Red Tarn", "3Red Tarn", "-2 Red Tarn", "20"])
def test_a_wish_that_is_no_whole_number_of_a_name_is_refused(nursery: Nursery, capsys: pytest.CaptureFixture[str], wish: str) -> None:
    assert run(["plan", "--", wish]) == 2
    assert "Write a number and a name: 20 Red Tarn." in capsys.readouterr().err
    assert not Wish.objects.exists()
