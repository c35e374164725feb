"""How texts are looked up and filled, whoever keeps the translations."""

from __future__ import annotations

import pickle
from collections.abc import Iterator

import pytest

from scionary import language
from scionary.language import Told, Words, both, either, in_english, mark, said, say, several, speak_through

GERMAN = {"alive": "lebt", "place {place}": "Platz {place}", "{these} or {last}": "{these} oder {last}", "day {day}": "Tag {tag}"}


@pytest.fixture(autouse=True)
def german() -> Iterator[None]:
    before = language._translate, language._translate_number
    speak_through(lambda text: GERMAN.get(text, text), lambda one, many, count: "{count} Tag" if count == 1 else "{count} Tage")
    yield
    speak_through(*before)


def test_a_text_is_looked_up_and_its_braces_filled() -> None:
    assert say("place {place}", place=3) == "Platz 3"
    assert say("never translated") == "never translated"
    assert say("") == ""


def test_a_number_chooses_the_form() -> None:
    assert [several(number, "{count} day", "{count} days") for number in (1, 2)] == ["1 Tag", "2 Tage"]


def test_a_translation_with_other_braces_is_passed_over() -> None:
    assert say("day {day}", day=4) == "day 4"


def test_words_kept_by_key_are_said_when_they_are_looked_up() -> None:
    words = Words({"alive": mark("alive"), "dead": mark("lost")})
    assert dict(words) == {"alive": "lebt", "dead": "lost"}
    assert words.get("gone") is None


def test_several_names_are_joined_as_the_language_joins_them() -> None:
    assert either(["Red Tarn", "Ash Gill", "Pale Intake"]) == "Red Tarn oder Ash Gill oder Pale Intake"
    assert both(["Red Tarn"]) == "Red Tarn"
    assert both([]) == ""


def test_what_is_kept_is_english() -> None:
    with in_english():
        assert say("alive") == "alive"
        assert several(2, "{count} day", "{count} days") == "2 days"
    assert say("alive") == "lebt"


def test_what_was_told_is_english_and_is_said_again_with_all_that_stands_in_it() -> None:
    inner = Told("place {place}", place=3)
    told = Told("{these} or {last}", these=inner, last=Told("alive"))
    assert told == "place 3 or alive"
    assert said(told) == "Platz 3 oder lebt"
    assert said("alive") == "alive"  # a plain text is what it is
    with in_english():
        assert said(told) == told


def test_what_was_told_is_kept_in_files_with_its_fields() -> None:
    told = pickle.loads(pickle.dumps(Told("place {place}", place=Told("alive"))))
    assert (told, said(told)) == ("place alive", "Platz lebt")
