"""How long labels last, as data that a person edits."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.answers.label_media import (
    drop_medium,
    label_media,
    save_medium,
    save_weeks_before,
    take_defaults,
    unknown_in_use,
    unknown_words,
)
from scionary.book.commands import Written
from scionary.book.models import Event, Nursery
from scionary.errors import Refused, UnknownSubject

pytestmark = pytest.mark.django_db

WAX = {"medium": "wax pencil", "months_sun": 18.0, "months_shade": None, "source": "my own practice"}


def test_a_new_book_has_the_usual_media_each_with_its_source(nursery: Nursery) -> None:
    known = label_media()
    assert {"ordinary marker", "UV-resistant ink", "pencil", "printed"} == set(known.names)
    assert {medium.source for medium in known.media} == {"common practice, no source"}
    assert (known.weeks_source, known.changed) == ("project default, unsourced", False)
    assert not next(medium for medium in known.media if medium.name == "pencil").fades


def test_a_medium_is_added_changed_and_taken_out_and_the_others_stay(nursery: Nursery, now: datetime) -> None:
    usual = label_media().names
    save_medium("", WAX, now=now)
    assert label_media().names == [*usual, "wax pencil"]
    save_medium("Wax Pencil", WAX | {"months_sun": 20.0}, now=now)
    found = label_media().called("WAX PENCIL")
    assert found is not None
    assert (found.months("sun"), found.months("shade"), found.months("")) == (20.0, 20.0, 20.0)
    drop_medium("wax pencil", now=now)
    assert label_media().names == usual


def test_each_edit_keeps_what_was_there_before(nursery: Nursery, now: datetime) -> None:
    save_medium("", WAX, now=now)
    drop_medium("pencil", now=now)
    payload = Event.objects.filter(kind="edited", subjects__key=nursery.key).order_by("-id")[0].payload
    was, stands = ([row.get("medium") for row in payload[when]["label_media"]] for when in ("before", "after"))
    assert ("pencil" in was, "pencil" in stands) == (True, False)


def test_a_book_without_any_medium_stays_so_until_the_defaults_are_wanted(nursery: Nursery, now: datetime) -> None:
    for name in label_media().names:
        drop_medium(name, now=now)
    assert label_media().media == ()
    take_defaults(now=now)
    assert len(label_media().media) == 4


def test_how_early_is_one_number_that_is_kept_beside_the_media(nursery: Nursery, now: datetime) -> None:
    save_weeks_before(8, now=now)
    known = label_media()
    assert (known.weeks_before, known.weeks_source, len(known.media)) == (8.0, "my own practice", 4)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        (WAX | {"medium": "  "}, "a medium needs a name"),
        (WAX | {"medium": "Pencil"}, "Pencil stands there already"),
        (WAX | {"months_sun": 0.0}, "0 months in the sun"),
        (WAX | {"months_sun": float("nan")}, "nan months in the sun"),
        (WAX | {"months_sun": None, "months_shade": 3.0}, "the months in the sun are not said"),
        (WAX | {"months_sun": 9.0, "months_shade": 3.0}, "fewer than 9 in the sun"),
    ],
)
def test_a_medium_that_cannot_be_is_refused_and_nothing_is_written(
    nursery: Nursery, now: datetime, values: dict[str, Any], said: str
) -> None:
    with pytest.raises(Refused, match=said):
        save_medium("", values, now=now)
    assert Nursery.objects.get().label_media == []


def test_what_is_not_there_cannot_be_taken_out(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(UnknownSubject, match="no medium is called 'crayon'"):
        drop_medium("crayon", now=now)
    with pytest.raises(Refused, match="99 weeks before"):
        save_weeks_before(99, now=now)


def test_a_medium_typed_by_hand_is_said_to_be_unknown(graft: Callable[..., Written]) -> None:
    graft(2, label_medium="crayon")
    graft(1, label_medium="Pencil")
    known = label_media()
    assert unknown_in_use(known) == [("crayon", 2)]
    assert "How long crayon lasts is not known" in unknown_words("crayon", known)
    assert unknown_words("PENCIL", known) == unknown_words("", known) == ""


def test_a_number_that_a_person_changed_no_longer_claims_the_source_of_the_default(nursery: Nursery, now: datetime) -> None:
    usual = label_media().called("printed")
    assert usual is not None
    same = {"medium": "printed", "months_sun": 12.0, "months_shade": 24.0, "source": usual.source}
    for values, source in ((same, usual.source), (same | {"months_sun": 20.0}, "my own practice")):
        save_medium("printed", values, now=now)
        found = label_media().called("printed")
        assert found is not None
        assert found.source == source
