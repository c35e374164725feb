"""Every field that a record of any kind may hold is told in words, in a language that nobody speaks too."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from django.utils.translation import override

from pseudo import CODE, outside, write_pseudo_language
from scionary.answers.due_step_words import STEP_WORDS
from scionary.answers.story import record_words
from scionary.book.ids import uuid7
from scionary.book.kinds import KINDS, Check, Reference
from scionary.book.models import Nursery

pytestmark = pytest.mark.django_db
_NO_TEXT = re.compile(r"\d mm|\b[A-Z\d]{3} [A-Z\d]{4}\b")  # a unit, a plant's code


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder)
    return folder


def samples(name: str, check: Check) -> list[Any]:
    """What the field may hold: each of its choices, a number, or what a person typed in letters that are not Latin."""
    if isinstance(check, Reference):
        return [str(uuid7())]
    if name == "line":
        return list(STEP_WORDS)
    for value in (3, 1, "αβγ"):
        try:
            check(value)
        except ValueError as error:
            wrong = str(error)
        else:
            return [value]
    assert wrong.startswith("one of "), wrong
    return wrong.removeprefix("one of ").split(", ")


def records() -> Iterator[tuple[str, dict[str, Any], str]]:
    """(kind, payload, field) with each value of each field beside what the kind needs."""
    for kind, spec in KINDS.items():
        needed = {name: samples(name, spec.fields[name])[0] for name in spec.needed}
        for name, check in spec.fields.items():
            for value in samples(name, check):
                yield kind, {**needed, name: value}, name


def told(kind: str, payload: dict[str, Any], nursery: Nursery) -> str:
    words, said = record_words(kind, payload, nursery)
    return "; ".join([words, *said])


def test_every_field_of_every_kind_is_told_in_words(nursery: Nursery, settings: Any, catalogue: Path) -> None:
    settings.LOCALE_PATHS = [catalogue]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
    asked = [each for each in records() if each[0] != "corrected"]
    assert len({(kind, name) for kind, _, name in asked}) > 100
    raw, unsaid = [], []
    with override(CODE):
        for kind, payload, name in asked:
            words = told(kind, payload, nursery)
            if re.search(r"[A-Za-z_]{2,}", _NO_TEXT.sub("", outside(words))):
                raw.append((kind, name, words))
            if name not in KINDS[kind].needed and words == told(kind, {key: payload[key] for key in payload if key != name}, nursery):
                unsaid.append((kind, name))
    assert raw == []
    assert unsaid == []


def test_a_correction_by_itself_says_what_it_changes_and_none_of_its_ids(nursery: Nursery) -> None:
    target, knew = str(uuid7()), [str(uuid7())]
    replaced = {"target": target, "knew": knew, "replace": {"stage": "half_ripe", "thickness_mm": 6.5}}
    assert told("corrected", replaced, nursery) == "Corrected: a record that has not arrived; wood: half-ripe; thickness: 6.5 mm"
    assert told("corrected", {"target": target}, nursery) == "Undone: a record that has not arrived"
