"""The other names of a cultivar: added, refused, taken away, with their history."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

import pytest

from scionary.answers.called import called
from scionary.answers.joining import join
from scionary.answers.other_names import add_other_name, check_not_anothers, other_names, take_away
from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Event, OtherName
from scionary.errors import Refused, UnknownSubject

pytestmark = pytest.mark.django_db


def test_a_name_is_added_and_writes_its_history(cultivar: Cultivar, now: datetime) -> None:
    made = add_other_name(cultivar, "  Tarn  Blush ", "synonym", now=now)
    assert [(other.name, other.kind) for other in other_names(cultivar)] == [("Tarn Blush", "synonym")]
    assert Event.objects.get(subjects__key=made.key).payload["after"]["name"] == "Tarn Blush"


def test_taken_away_it_finds_no_longer_and_may_come_back(cultivar: Cultivar, now: datetime) -> None:
    made = add_other_name(cultivar, "Tarn Blush", "synonym", now=now)
    take_away(made.pk, now=now)
    assert other_names(cultivar) == []
    assert called("Tarn Blush").known is None
    again = add_other_name(cultivar, "Tarn Blush", "misspelling", now=now)
    assert (again.pk, again.kind) == (made.pk, "misspelling")
    edits = [event.payload["after"]["retired"] for event in Event.objects.filter(subjects__key=made.key).order_by("id")]
    assert edits == [False, True, False]
    with pytest.raises(UnknownSubject):
        take_away(UUID(int=7), now=now)


@pytest.mark.parametrize(
    ("typed", "kind", "message"),
    [
        ("", "synonym", "no name is typed"),
        ("   ", "synonym", "no name is typed"),
        ("\u202e\u200f", "synonym", "no name is typed"),
        ("🌱🌱", "synonym", "no name is typed"),
        ("x" * 500, "synonym", "at most 60 characters"),
        ("RED  tarn", "synonym", "is its own name"),
        ("Ash Gill", "synonym", "Ash Gill is a cultivar of its own"),
        ("ash gill", "misspelling", "Ash Gill is a cultivar of its own"),
        ("Gill Blush", "synonym", "Gill Blush is another name of Ash Gill already"),
        ("Tarn Blush", "joined", "'joined' is no kind of name"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_written(cultivar: Cultivar, now: datetime, typed: str, kind: str, message: str) -> None:
    ash = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    add_other_name(ash, "Gill Blush", "synonym", now=now)
    with pytest.raises(Refused, match=message):
        add_other_name(cultivar, typed, kind, now=now)
    assert list(OtherName.objects.values_list("name", flat=True)) == ["Gill Blush"]


def test_marks_that_are_not_seen_are_left_out(cultivar: Cultivar, now: datetime) -> None:
    assert add_other_name(cultivar, "\u202eTarn\u200f Blush", "synonym", now=now).name == "Tarn Blush"


def test_a_new_cultivar_may_not_take_anothers_name(cultivar: Cultivar, now: datetime) -> None:
    add_other_name(cultivar, "Tarn Blush", "synonym", now=now)
    with pytest.raises(Refused, match="Tarn Blush is another name of Red Tarn"):
        check_not_anothers("tarn blush")
    check_not_anothers("Tarn Blush", cultivar)
    check_not_anothers("Snowbed")


def test_a_name_that_was_joined_goes_with_the_joining_alone(cultivar: Cultivar, now: datetime) -> None:
    tran = save_noun(Cultivar, {"spoken": "Red Tran"}, now=now)
    join(cultivar.pk, tran.pk, now=now)
    with pytest.raises(Refused, match="Undo the joining instead"):
        take_away(OtherName.objects.get().pk, now=now)
