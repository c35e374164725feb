"""What growers write for how it went."""

from __future__ import annotations

import datetime as dt

import pytest

from scionary.files.past_counts import Count, Puzzle, read_count


def taken(text: object, grafts: int | None = None) -> tuple[int | None, int | None]:
    """Takes and grafts of a cell that must be understood."""
    read = read_count(text, grafts)  # type: ignore[arg-type]
    assert isinstance(read, Count), read
    return read.takes, read.of


@pytest.mark.parametrize(
    "text",
    ["8/10", "8 / 10 took", "8 of 10", "8 out of 10", "took 8 of 10", "8 von 10", "8/10 took.", "8/10 (one weak)", "8 of 10, one weak"],
)
def test_some_of_many(text: str) -> None:
    assert taken(text) == (8, 10)
    assert taken(text, 10) == (8, 10)


@pytest.mark.parametrize(
    ("text", "grafts", "takes"),
    [
        ("8", 10, 8),
        (8, 10, 8),
        ("8 took", 10, 8),
        ("took 8", 10, 8),
        ("4 took, 1 weak", 5, 4),
        ("80 %", 10, 8),
        ("83%", 6, 5),
        ("all", 6, 6),
        ("All took!", 6, 6),
        ("none", 6, 0),
        ("all dead", 6, 0),
        ("0", 6, 0),
        ("both", 2, 2),
        ("took", 1, 1),
        ("dead", 1, 0),
        (True, 1, 1),
    ],
)
def test_counts_against_the_number_grafted(text: object, grafts: int, takes: int) -> None:
    assert taken(text, grafts) == (takes, grafts)


@pytest.mark.parametrize("text", ["took", "Yes", "y", "ok", "alive", "growing", "✓", "took (weak)", "alive, slow"])
def test_one_that_took(text: str) -> None:
    assert taken(text) == (1, 1)


@pytest.mark.parametrize("text", ["dead", "NO", "n", "failed", "lost", "did not take", "failed, cut too deep", "no take"])
def test_one_that_did_not(text: str) -> None:
    assert taken(text) == (0, 1)


@pytest.mark.parametrize("text", ["", "?", "-", "n/a", "unknown", "not checked", "dead?", "took?", "8/10?"])
@pytest.mark.parametrize("grafts", [None, 1, 10])
def test_missing_and_doubtful_are_neither_dead_nor_alive(text: str, grafts: int | None) -> None:
    read = read_count(text, grafts)
    assert isinstance(read, Count)
    assert (read.takes, read.outcome) == (None, "unknown")


def test_words_beside_the_count_are_kept() -> None:
    assert [read_count(text, None).note for text in ("8/10 (one weak)", "took, slow", "dead?")] == ["one weak", "slow", "dead?"]  # type: ignore[union-attr]


def test_stage_said_in_the_cell_is_kept() -> None:
    assert [read_count(text, None).stage for text in ("growing", "in leaf", "took")] == ["growing", "in_leaf", None]  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "grafts", "why"),
    [
        ("11/10", None, "11 took of 10 grafted"),
        ("12", 10, "12 took of 10 grafted"),
        ("8/10", 12, "here it is 10 grafts, in the column of grafts 12"),
        ("x", 1, "'x' can mean that it took or that it failed"),
        ("took", 6, "one word for 6 grafts"),
        ("8", None, "'8' of how many"),
        ("all", None, "'all' of how many"),
        ("75 %", 6, "no whole number"),
        ("some", 5, "says neither how many took"),
        ("about 4", 5, "says neither how many took"),
        ("8-9", 10, "says neither how many took"),
        ("8,5", 10, "says neither how many took"),
        ("8/10/24", None, "says neither how many took"),
        ("nearly", 1, "says neither how many took"),
    ],
)
def test_what_is_not_understood_says_why(text: str, grafts: int | None, why: str) -> None:
    read = read_count(text, grafts)
    assert isinstance(read, Puzzle), read
    assert why in read.why
    assert read.remedy


def test_count_that_a_spreadsheet_turned_into_a_date_is_recognised() -> None:
    read = read_count(dt.date(2025, 10, 8), 10)
    assert isinstance(read, Puzzle)
    assert "turns counts such as 8/10 into dates" in read.why
    assert "10/8 or 8/10" in read.remedy
