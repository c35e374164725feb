"""Mistakes and how they were put right: a slip of the pen, a wrong plant, a change of mind, a lost label, and one that is still open."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

from scionary.book.record import NewEvent
from scionary.demo.diary import Diary
from scionary.demo.tarn_bridge import GROWERS


def make_mistakes(diary: Diary, seasons: tuple[int, int], year_of: Callable[[datetime], int]) -> None:
    """Add corrections to events of the past seasons."""
    events = diary.events()
    first = [event for event in events if year_of(event.happened_at) == seasons[0]]
    last = [event for event in events if year_of(event.happened_at) == seasons[1]]
    _slip_of_the_pen(diary, first)
    _wrong_plant(diary, first)
    _changed_mind(diary, first)
    _disagreement(diary, last)
    _lost_label(diary, last)


def _slip_of_the_pen(diary: Diary, events: list[NewEvent]) -> None:
    """A thickness without its decimal point."""
    for event in _grafts_with(events, "stock_mm")[5:8:2]:
        right = event.payload["stock_mm"]
        event.payload["stock_mm"] = round(right * 10)
        diary.correct(event, event.happened_at + timedelta(days=2), {"stock_mm": right}, who=event.who, note="Decimal point forgotten.")


def _wrong_plant(diary: Diary, events: list[NewEvent]) -> None:
    """A loss written down for the neighbour of the plant that was lost; undone the next day."""
    lost = {event.subjects[0] for event in events if event.kind == "lost"}
    sound = next(e for e in events if e.kind == "scored" and e.payload == {"sign": "firm", "answer": "yes"} and e.subjects[0] not in lost)
    moment = sound.happened_at + timedelta(minutes=30)
    diary.write("lost", moment, sound.subjects[0], {"sign": "black at the base"}, who=sound.who)
    wrong = next(e for e in diary.events() if e.kind == "lost" and e.happened_at == moment and e.subjects == sound.subjects)
    diary.correct(wrong, moment + timedelta(days=1), None, who=sound.who, note="That was the next pot.")


def _changed_mind(diary: Diary, events: list[NewEvent]) -> None:
    unsure = next(e for e in events if e.kind == "scored" and e.payload == {"sign": "firm", "answer": "unsure"})
    diary.correct(unsure, unsure.happened_at + timedelta(days=3), {"answer": "yes"}, who=unsure.who)


def _disagreement(diary: Diary, events: list[NewEvent]) -> None:
    """The two growers put the same record right in two ways, each on a device of their own; it is still open."""
    event = _grafts_with(events, "scion_mm")[3]
    for at, grower in enumerate(GROWERS):
        value = round(event.payload["scion_mm"] + (0.8, -0.6)[at], 1)
        diary.correct(event, event.happened_at + timedelta(days=1, hours=at), {"scion_mm": value}, who=grower, device=f"phone of {grower}")


def _lost_label(diary: Diary, events: list[NewEvent]) -> None:
    """A label blew away, and the plant was taken for the likeliest one; its leaves said a month later that it was."""
    confirmed = next(event for event in events if event.kind == "name_confirmed")
    diary.write("name_inferred", confirmed.happened_at - timedelta(days=30), confirmed.subjects[0], {"chance": 0.93}, who=confirmed.who)


def _grafts_with(events: list[NewEvent], field: str) -> list[NewEvent]:
    return [event for event in events if event.kind == "grafted" and field in event.payload]
