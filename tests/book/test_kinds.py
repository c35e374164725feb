"""What each kind of event may hold."""

from __future__ import annotations

from datetime import UTC, datetime
from uuid import UUID

import pytest

from scionary.book.kinds import KINDS, checked_payload, checked_replacement, read_moment, references
from scionary.errors import Refused

NOUN = "01900000-0000-7000-8000-000000000001"
EVENT = UUID("01900000-0000-7000-8000-00000000000e")


def test_empty_fields_are_left_out() -> None:
    assert checked_payload("observed", {"seen": "unchanged", "note": "  ", "height_mm": None}) == {"seen": "unchanged"}


def test_text_loses_control_characters_but_keeps_lines() -> None:
    assert checked_payload("untied", {"note": "cut\x00 the tie\nloosely\x07 "}) == {"note": "cut the tie\nloosely"}


@pytest.mark.parametrize(
    ("kind", "payload", "message"),
    [
        ("flown", {}, "no kind of event is called 'flown'"),
        ("scored", {"sign": "firm"}, "'answer' is missing"),
        ("scored", {"sign": "firm", "answer": "perhaps"}, "answer is 'perhaps'. Give one of yes, no, unsure"),
        ("vented", {"open_pct": 101}, "open_pct is '101'. Give a number from 0 to 100"),
        ("vented", {"open_pct": True}, "open_pct is 'True'"),
        ("vented", {"open_pct": float("nan")}, "open_pct is 'nan'"),
        ("untied", {"colour": "red"}, "no field is called 'colour'. Fields: note"),
        ("untied", {"note": "x" * 2001}, "at most 2000 characters; this has 2001"),
        ("untied", {"note": 3}, "note is '3'. Give text"),
        ("moved", {"dome": "Dome 1"}, "dome is 'Dome 1'. Give the id of a dome"),
        ("moved", {"place": 1.5}, "place is '1.5'. Give a whole number"),
        ("corrected", {}, "target is no event's id"),
        ("corrected", {"target": str(EVENT), "replace": {}}, "replace holds no field"),
        ("corrected", {"target": str(EVENT), "colour": 1}, "no field is called 'colour'"),
        ("corrected", {"target": str(EVENT), "knew": "all"}, "knew is no list"),
        ("corrected", {"target": str(EVENT), "replace": {"colour": "red"}}, "no field is called 'colour'"),
        ("corrected", {"target": str(EVENT), "replace": {"dome": "Dome 1"}}, "dome is 'Dome 1'. Give the id of a dome"),
        ("corrected", {"target": str(EVENT), "replace": {"note": ["a"]}}, "note is \"\\['a'\\]\""),
        ("corrected", {"target": str(EVENT), "replace": {"open_pct": float("inf")}}, "open_pct is 'inf'"),
        ("corrected", {"target": str(EVENT), "replace": {"happened_at": "yesterday"}}, "'yesterday' is no moment"),
    ],
)
def test_what_does_not_fit_is_refused_by_name(kind: str, payload: dict[str, object], message: str) -> None:
    with pytest.raises(Refused, match=message):
        checked_payload(kind, payload)


def test_a_corrected_moment_is_kept_in_one_spelling() -> None:
    local = checked_payload("corrected", {"target": EVENT, "replace": {"happened_at": "2026-02-14T11:30+01:00"}})
    assert local["replace"] == {"happened_at": "2026-02-14T10:30:00+00:00"}


def test_a_correction_cannot_empty_what_is_needed() -> None:
    with pytest.raises(Refused, match="'cultivar' cannot be empty"):
        checked_replacement("grafted", {"cultivar": None})
    assert checked_replacement("grafted", {"dome": None, "place": 3}) == {"dome": None, "place": 3}


def test_a_correction_is_checked_by_the_kind_that_it_corrects() -> None:
    with pytest.raises(Refused, match="no field is called 'open_pct'"):
        checked_replacement("moved", {"open_pct": 5})


@pytest.mark.parametrize("value", ["2026-02-14", "2026-02-14T10:30", "soon", "1700-01-01T00:00+00:00", None])
def test_a_moment_needs_date_time_and_zone(value: object) -> None:
    with pytest.raises(Refused, match="is no moment"):
        read_moment(value)


def test_a_moment_is_read_from_text_or_taken_as_it_is() -> None:
    moment = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)
    assert read_moment("2026-02-14T11:30+01:00") == read_moment(moment) == moment


def test_references_name_the_nouns_of_a_payload() -> None:
    assert references("moved", {"dome": NOUN, "place": 2}) == [("dome", f"dome:{NOUN}")]
    assert references("corrected", {"target": str(EVENT), "replace": {"dome": NOUN, "pot": None}}) == [("dome", f"dome:{NOUN}")]


def test_every_needed_field_is_a_field() -> None:
    assert all(set(kind.needed) <= set(kind.fields) for kind in KINDS.values())
