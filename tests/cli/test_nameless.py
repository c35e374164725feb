"""scionary find --nameless: the same ranking as the page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def codes(scionary: Callable[..., Any]) -> list[str]:
    plants = scionary("bench", "Red Tarn", "4", "--dome", "Dome 1", "--on", "2026-02-14", "--json").json["plants"]
    scionary("bench", "Ash Gill", "4", "--no-dome", "--on", "2026-02-15")
    return [plant["code"] for plant in plants]


def test_what_is_known_ranks_the_plants(scionary: Callable[..., Any], codes: list[str]) -> None:
    asked = ("find", "--nameless", "--code", f"{codes[2][:3]}????", "--where", "dome 1", "--name", "tarn")
    found = scionary(*asked, "--json").json
    best = found["lines"][0]
    assert best["plant"]["code"] == codes[2]
    assert best["chance"] > 0.8
    assert sum(line["chance"] for line in found["lines"]) == pytest.approx(1.0)
    said = scionary(*asked).out
    assert said.startswith(f"It is {best['odds']} Red Tarn 3: {best['number']}.\n")
    assert "none of these" in said


def test_the_next_question_is_asked(scionary: Callable[..., Any], codes: list[str]) -> None:
    look = scionary("find", "--nameless", "--name", "tarn", "--json").json["next"]
    assert look["field"] == "code"
    assert f"Next: {look['words']}" in scionary("find", "--nameless", "--name", "tarn").out


def test_what_it_looks_like_counts_by_its_answer_or_its_words(scionary: Callable[..., Any], codes: list[str]) -> None:
    for name, looks in (("Ash Gill", {"summer": "red", "lobes": "7"}), ("Red Tarn", {"summer": "green", "lobes": "5"})):
        save_noun(Cultivar, {"traits": looks}, now=datetime(2026, 2, 15, tzinfo=UTC), pk=Cultivar.objects.get(spoken=name).pk)
    for typed in ("summer=red", "Summer = bright red"):
        best = scionary("find", "--nameless", "--look", typed, "--look", "lobes=7", "--json").json["lines"][0]
        assert best["plant"]["spoken"].startswith("Ash Gill")
        assert best["why"] == "for it: what it looks like"
    assert "No cultivar's page says its edge of the leaf yet" in scionary("find", "--nameless", "--look", "edge=lace", "--name", "tarn").out
    assert "traits: lobes, cut" in scionary("find", "--nameless", "--look", "smell=sweet").err
    assert "green, yellow, orange" in scionary("find", "--nameless", "--look", "summer=blue").err


def test_a_height_is_read_in_the_unit_that_is_typed(scionary: Callable[..., Any], codes: list[str]) -> None:
    in_mm = scionary("find", "--nameless", "--height", "254 mm", "--name", "tarn", "--json").json
    assert scionary("find", "--nameless", "--height", "10 in", "--name", "tarn", "--json").json == in_mm


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (("--nameless",), "nothing is said of the plant. Give one of --code"),
        (("--nameless", "--code", "P8"), "code: 'P8' is no code. A code has 7 characters"),
        (("--nameless", "--height", "tall"), "'tall' is no height."),
        (("--nameless", "--grafted", "spring"), "'spring' is no date."),
        (("--nameless", "Red Tarn"), "--nameless stands alone."),
        (("--where", "Dome 1"), "Add --nameless."),
    ],
)
def test_what_cannot_be_is_refused(scionary: Callable[..., Any], codes: list[str], options: tuple[str, ...], told: str) -> None:
    answer = scionary("find", *options)
    assert (answer.code, answer.out) == (2, "")
    assert told in answer.err


def test_an_empty_book_answers_no(scionary: Callable[..., Any]) -> None:
    answer = scionary("find", "--nameless", "--name", "tarn")
    assert (answer.code, answer.err) == (1, "")
    assert "none of these" in answer.out


def test_a_name_that_was_inferred_is_told_with_the_plant(scionary: Callable[..., Any], codes: list[str], write: Callable[..., Any]) -> None:
    plant = Plant.objects.get(pk=scionary("find", "Red Tarn 2", "--json").json["plants"][0]["id"])
    write("name_inferred", plant, days=30, chance=0.93)
    assert "Look: Red Tarn 2: name inferred, 0.93." in scionary("find", "Red Tarn 2").out
