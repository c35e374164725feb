"""Two plants with one code, or with one spoken name: written as it happened, and flagged."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from scionary.book.commands import Written, correct, save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Plant
from scionary.book.record import Answer, NewEvent, record_events
from scionary.names import code_of

Graft = Callable[..., Written]


def grafted(cultivar: Cultivar, now: datetime, **more: object) -> NewEvent:
    return NewEvent("grafted", now, (f"plant:{uuid7()}",), {"cultivar": str(cultivar.pk), **more})


def flags(*events: NewEvent, now: datetime) -> list[tuple[str, ...]]:
    answers = record_events(events, now=now)
    assert {answer.status for answer in answers} == {"recorded"}
    return [answer.flags for answer in answers]


def test_a_used_code_is_written_and_flagged(graft: Graft, cultivar: Cultivar, now: datetime) -> None:
    graft()
    (told,) = flags(grafted(cultivar, now, code_number=0, running_number=2), now=now)
    assert told == (f"Red Tarn 2 has the code {code_of(0)}, which Red Tarn 1 has too",)
    assert Plant.objects.filter(code_number=0).count() == 2


def test_one_code_twice_in_one_batch_is_flagged_at_both(cultivar: Cultivar, now: datetime) -> None:
    first, second = flags(*(grafted(cultivar, now, code_number=7, running_number=number) for number in (1, 2)), now=now)
    assert "Red Tarn 2 has too" in first[0]
    assert "Red Tarn 1 has too" in second[0]


def test_a_taken_name_is_flagged_however_it_is_given(graft: Graft, cultivar: Cultivar, write: Callable[..., Answer], now: datetime) -> None:
    written = graft(3)
    taken = ("another plant is called Red Tarn 1 too",)
    assert write("relabelled", written.plants[1], running_number=1).flags == taken
    assert correct(written.events[2], {"running_number": 1}, now=now).flags == taken
    assert flags(grafted(cultivar, now, running_number=1), now=now) == [taken]


def test_another_cultivar_brings_its_own_numbers(graft: Graft, write: Callable[..., Answer], now: datetime) -> None:
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    first, second = graft().plants[0], graft(cultivar=other.pk).plants[0]
    assert (first.running_number, second.running_number) == (1, 1)
    assert write("name_confirmed", second, cultivar=first.cultivar_id).flags == ("another plant is called Red Tarn 1 too",)


def test_an_undo_that_brings_a_code_back_is_flagged(graft: Graft, cultivar: Cultivar, now: datetime) -> None:
    written = graft()
    gone = undo(written.events[0], now=now)
    assert gone.flags == ()
    assert flags(grafted(cultivar, now, code_number=0, running_number=9), now=now) == [()]
    assert "has the code" in undo(gone.id, now=now).flags[0]


@pytest.mark.parametrize("change", [{"note": "by the door"}, {"scion_mm": 5.0}])
def test_what_names_nobody_is_not_flagged_again(graft: Graft, cultivar: Cultivar, now: datetime, change: dict[str, object]) -> None:
    written = graft()
    record_events([grafted(cultivar, now, code_number=0, running_number=1)], now=now)
    assert correct(written.events[0], change, now=now).flags == ()


def test_plants_of_their_own_are_not_flagged(graft: Graft, cultivar: Cultivar, now: datetime) -> None:
    assert graft(20).flags == []
    assert flags(grafted(cultivar, now), grafted(cultivar, now), now=now) == [(), ()]
