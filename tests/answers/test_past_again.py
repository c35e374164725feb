"""Whether the book holds grafts of the same cultivar and year already."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from scionary.answers.past_import import accept_past
from scionary.answers.past_preview import PastReading, preview_past
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Tally

pytestmark = pytest.mark.django_db

FILE = b"cultivar,date,firm\nRed Tarn,2026-02-10,3/5\nAsh Gill,2024-03-01,8/10\n"


def warnings(data: bytes, now: datetime) -> list[str]:
    return [words for words in preview_past(data, "new.csv", now=now, how=PastReading(stage="firm")).warnings if "same ones" in words]


def test_an_empty_book_asks_nothing(cultivar: Cultivar, now: datetime) -> None:
    assert warnings(FILE, now) == []


def test_grafts_of_the_bench_are_asked_about(graft: Callable[..., Written], now: datetime) -> None:
    graft(12)
    assert warnings(FILE, now) == [
        "The book already holds 12 grafts of Red Tarn in 2026 from the book's own records: the same ones?",
    ]


def test_grafts_of_another_year_or_cultivar_are_not(graft: Callable[..., Written], now: datetime) -> None:
    graft(2, days=-400)
    assert warnings(FILE, now) == []


def test_a_file_taken_in_before_is_named_and_its_rows_count_once(cultivar: Cultivar, now: datetime) -> None:
    old = b"cultivar,date,firm,in leaf\nAsh Gill,2024-02-20,7/10,6/10\nAsh Gill,2024-02-21,yes,\n"
    accept_past(old, "old.csv", now=now)
    assert warnings(FILE, now) == ["The book already holds 11 grafts of Ash Gill in 2024 from old.csv: the same ones?"]


def test_counts_taken_out_again_are_not_asked_about(cultivar: Cultivar, now: datetime) -> None:
    values = {"cultivar": cultivar, "season": 2026, "grafts": 9, "takes": 5, "stage": "firm"}
    tally = save_noun(Tally, values, now=now)
    assert warnings(FILE, now) == ["The book already holds 9 grafts of Red Tarn in 2026 from the book's own records: the same ones?"]
    save_noun(Tally, {"retired": True}, now=now, pk=tally.pk)
    assert warnings(FILE, now) == []


def test_many_questions_are_put_together(nursery: object, now: datetime) -> None:
    rows = [f"Tarn {chr(65 + i)},2024-02-20,7/10" for i in range(9)]
    data = "\n".join(["cultivar,date,firm", *rows]).encode()
    accept_past(data, "old.csv", now=now)
    told = preview_past(data + b"\n", "new.csv", now=now).warnings
    assert len([words for words in told if "the same ones?" in words]) == 6
    assert "The same question for 3 more." in told
