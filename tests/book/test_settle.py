"""Corrections: which events stand, and with what values."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from scionary.book.settle import EVERYTHING, Record, settle, void

NOW = datetime(2026, 2, 14, 10, 30, tzinfo=UTC)


def ident(number: int) -> UUID:
    return UUID(int=number)


def event(number: int, *, days: float = 0, kind: str = "moved", **payload: Any) -> Record:
    return Record(ident(number), kind, NOW + timedelta(days=days), payload)


def correction(number: int, target: int, replace: dict[str, Any] | None = None, *, days: float = 1, knew: tuple[int, ...] = ()) -> Record:
    payload: dict[str, Any] = {"target": str(ident(target)), "knew": [str(ident(known)) for known in knew]}
    if replace:
        payload["replace"] = replace
    return Record(ident(number), "corrected", NOW + timedelta(days=days), payload, ident(target))


def values(*records: Record) -> dict[str, Any]:
    (record,) = settle(records)
    return dict(record.payload)


def disputed(*records: Record) -> frozenset[str]:
    (record,) = settle(records)
    return record.disputed


def test_events_stand_in_the_order_of_happening_then_id() -> None:
    late, second, first = event(1, days=2), event(3), event(2)
    assert [record.id for record in settle([late, second, first])] == [ident(2), ident(3), ident(1)]


def test_a_correction_puts_new_values_in_place_and_leaves_the_others() -> None:
    assert values(event(1, place=1, stands="bench"), correction(2, 1, {"place": 4})) == {"place": 4, "stands": "bench"}


def test_a_correction_can_empty_a_field() -> None:
    assert values(event(1, place=1, stands="bench"), correction(2, 1, {"place": None})) == {"stands": "bench"}


def test_a_correction_can_move_an_event_in_time() -> None:
    moved = correction(3, 1, {"happened_at": (NOW + timedelta(days=5)).isoformat()})
    assert [record.id for record in settle([event(1), event(2, days=1), moved])] == [ident(2), ident(1)]


def test_an_undone_event_does_not_stand() -> None:
    assert settle([event(1), correction(2, 1)]) == []


def test_undoing_the_undo_brings_it_back() -> None:
    assert values(event(1, place=1), correction(2, 1), correction(3, 2)) == {"place": 1}


def test_undoing_a_correction_brings_the_old_values_back() -> None:
    assert values(event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 2)) == {"place": 1}


def test_a_correction_of_a_correction_changes_its_values() -> None:
    assert values(event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 2, {"place": 5})) == {"place": 5}


def test_corrections_that_did_not_know_of_each_other_and_disagree_make_a_dispute() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1, {"place": 5}, days=2)
    assert disputed(*records) == {"place"}
    assert values(*records) == {"place": 5}


def test_corrections_that_agree_make_no_dispute() -> None:
    assert disputed(event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1, {"place": 4})) == frozenset()


def test_corrections_of_different_fields_both_hold() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1, {"stands": "bench"})
    assert values(*records) == {"place": 4, "stands": "bench"}
    assert disputed(*records) == frozenset()


def test_a_correction_overrules_the_one_it_knew() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}, days=3), correction(3, 1, {"place": 5}, days=2, knew=(2,))
    assert values(*records) == {"place": 5}
    assert disputed(*records) == frozenset()


def test_undoing_the_overruling_correction_brings_the_overruled_one_back() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1, {"place": 5}, knew=(2,)), correction(4, 3)
    assert values(*records) == {"place": 4}


def test_an_undo_overrules_the_correction_it_knew() -> None:
    assert settle([event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1, knew=(2,))]) == []


def test_an_undo_that_did_not_know_a_correction_is_a_dispute_and_the_event_stands() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}), correction(3, 1)
    assert values(*records) == {"place": 4}
    assert disputed(*records) == {EVERYTHING}


def test_corrections_that_claim_to_know_each_other_stay_disputed() -> None:
    records = event(1, place=1), correction(2, 1, {"place": 4}, knew=(3,)), correction(3, 1, {"place": 5}, knew=(2,))
    assert disputed(*records) == {"place"}


def test_corrections_in_a_circle_correct_nothing() -> None:
    assert values(event(1, place=1), correction(2, 3), correction(3, 2)) == {"place": 1}
    assert values(event(1, place=1), correction(2, 2)) == {"place": 1}


def test_a_correction_whose_target_is_unknown_waits() -> None:
    assert values(event(1, place=1), correction(2, 99)) == {"place": 1}


def test_a_very_long_chain_of_undos_is_settled() -> None:
    chain = [correction(number, number - 1) for number in range(2, 5_002)]
    assert values(event(1, place=1), *chain) == {"place": 1}
    assert settle([event(1, place=1), *chain, correction(5_002, 5_001)]) == []


def test_void_names_all_that_does_not_stand() -> None:
    assert void([event(1), correction(2, 1), correction(3, 2), correction(4, 3)]) == {ident(1), ident(3)}
