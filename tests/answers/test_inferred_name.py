"""Taking a plant without its label for one of the book's: what is asked, what is kept, what is refused."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest

from scionary.answers.inferred_name import asked_before, infer_name, line_of, told_chance
from scionary.answers.nameless import Remembered
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Event, Plant
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.names import code_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def five(graft: Callable[..., Written]) -> list[Plant]:
    ids = [plant.pk for plant in graft(5, stands="tunnel").plants]
    return [Plant.objects.get(pk=ident) for ident in ids]


def code(plant: Plant, gone: int = 0) -> str:
    whole = code_of(plant.code_number or 0)
    return whole[: 7 - gone] + "?" * gone


@pytest.fixture
def take(now: datetime) -> Callable[..., Any]:
    def infer(known: Remembered, plant: Plant, **more: Any) -> Any:
        return infer_name(known, plant.pk, **{"now": now, "event_id": uuid7(), **more})

    return infer


def test_however_sure_it_is_it_is_never_certain(five: list[Plant], take: Callable[..., Any]) -> None:
    known = Remembered(code=code(five[0]), name="red tarn", where="tunnel")
    assert line_of(known, five[0].pk).chance > 0.9999
    take(known, five[0])
    assert Event.objects.get(kind="name_inferred").payload["chance"] == 0.9999
    assert Plant.objects.get(pk=five[0].pk).name_caution == "name inferred, 0.99"


@pytest.mark.parametrize(("chance", "kept"), [(0.49996, 0.4999), (0.00001, 0.0001), (1.0, 0.9999), (0.25, 0.25)])
def test_a_chance_is_cut_off_when_it_is_kept(chance: float, kept: float) -> None:
    assert told_chance(chance) == kept


def test_one_that_stands_out_is_taken_without_a_question(five: list[Plant], take: Callable[..., Any]) -> None:
    known = Remembered(code=code(five[0], gone=3))
    assert asked_before(line_of(known, five[0].pk)) == []
    assert take(known, five[0]).answers[0].status == "recorded"


def test_below_one_half_nothing_is_written_unless_a_person_is_sure(five: list[Plant], take: Callable[..., Any]) -> None:
    known = Remembered(name="tarn")
    with pytest.raises(Refused, match="that it is another one is likelier"):
        take(known, five[0])
    assert not Event.objects.filter(kind="name_inferred").exists()
    assert take(known, five[0], sure=True).answers[0].status == "recorded"


def test_a_confirmed_name_is_not_taken_back_unasked(five: list[Plant], take: Callable[..., Any], write: Callable[..., Answer]) -> None:
    write("name_confirmed", five[0])
    with pytest.raises(Refused, match="this takes that back"):
        take(Remembered(code=code(five[0])), five[0])


@pytest.mark.parametrize(("kind", "payload"), [("lost", {}), ("left", {"how": "gift"})])
def test_one_that_is_gone_is_never_taken_for_it(
    five: list[Plant], take: Callable[..., Any], write: Callable[..., Answer], kind: str, payload: dict[str, str]
) -> None:
    write(kind, five[0], days=1, **payload)
    with pytest.raises(Refused, match=r"CAUTION: Red Tarn 1 .* hold it beside its story"):
        take(Remembered(code=code(five[0])), five[0], sure=True)
    assert not Event.objects.filter(kind="name_inferred").exists()


def test_sent_twice_it_is_written_once_and_asked_once(five: list[Plant], take: Callable[..., Any]) -> None:
    ident = uuid7()
    take(Remembered(name="tarn"), five[0], event_id=ident, sure=True)
    assert take(Remembered(name="tarn"), five[0], event_id=ident).answers[0].status == "repeated"
