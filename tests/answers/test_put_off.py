"""Lines of Due put off or not needed: what they hide, and when they ask again."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from scionary.answers.due import due
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import NOT_NEEDED, PUT_OFF, answer_line, standing_asides
from scionary.answers.undoing import undo_all
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Method, Nursery, Plant
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused

pytestmark = pytest.mark.django_db
GRAFTED = date(2026, 2, 14)
Answer = Callable[..., Any]


def on(days: int) -> date:
    return GRAFTED + timedelta(days=days)


def line(step: str, days: int) -> DueLine | None:
    return next((each for each in due(today=on(days)).lines if each.step == step), None)


@pytest.fixture
def answer(now: datetime) -> Answer:
    """Answers the line of a step as it stands so many days after `now`."""

    def write(step: str, days: int, given: str, *, until: int | None = None, **more: Any) -> Any:
        found = line(step, days)
        assert found is not None
        moment = now + timedelta(days=days)
        day = on(until) if until is not None else None
        return answer_line(step, found.about, given, today=on(days), now=moment, until=day, **more)

    return write


@pytest.fixture
def closed(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, dome=dome.pk, method=method.pk).plants


def test_what_is_put_off_asks_again_on_its_day(closed: list[Plant], answer: Answer) -> None:
    answer("water", 7, PUT_OFF, until=10)
    assert line("water", 9) is None
    assert line("check", 9) is not None
    assert line("water", 10) is not None


def test_what_is_not_needed_stays_away_until_the_next_time(closed: list[Plant], answer: Answer) -> None:
    answer("water", 8, NOT_NEEDED)
    assert line("water", 13) is None
    assert line("water", 14) is not None


def test_a_step_of_one_plant_is_answered_for_that_plant_alone(
    closed: list[Plant], answer: Answer, write: Callable[..., Any], now: datetime
) -> None:
    for plant in closed:
        write("scored", plant, sign="growing", answer="yes", days=80)
    before = line("untie", 150)
    assert before is not None
    answer_line("untie", [closed[0].key], NOT_NEEDED, today=on(150), now=now + timedelta(days=150))
    after = line("untie", 151)
    assert after is not None
    assert set(before.about) - set(after.about) == {closed[0].key}
    assert line("untie", 150 + 60) is not None


def test_a_plant_grafted_again_is_asked_about_again(closed: list[Plant], answer: Answer, write: Callable[..., Any], method: Method) -> None:
    write("scored", closed[0], sign="growing", answer="yes", days=80)
    answer("untie", 150, NOT_NEEDED)
    write("regrafted", closed[0], days=160, cultivar=closed[0].cultivar_id, method=method.pk)
    write("scored", closed[0], sign="growing", answer="yes", days=240)
    found = line("untie", 160 + 150)
    assert found is not None
    assert closed[0].key in found.about


def test_a_label_put_aside_comes_back_once_it_is_written_anew_and_fades(
    graft: Callable[..., Written], answer: Answer, write: Callable[..., Any], dome: Dome
) -> None:
    plant = graft(1, label_medium="ordinary marker", label_light="sun").plants[0]
    assert line("label", 80) is not None
    answer("label", 80, NOT_NEEDED)
    assert line("label", 300) is None
    write("relabelled", plant, medium="ordinary marker", light="sun", days=310)
    assert line("label", 310 + 80) is not None


def test_an_answer_undone_asks_at_once(closed: list[Plant], answer: Answer, now: datetime, nursery: Nursery) -> None:
    events = answer("water", 7, NOT_NEEDED)
    assert [(aside.line, aside.until) for aside in standing_asides(nursery, on(8))] == [("water", None)]
    undo_all(events, now=now + timedelta(days=8))
    assert line("water", 8) is not None
    assert standing_asides(nursery, on(8)) == []


def test_the_last_answer_counts(closed: list[Plant], answer: Answer, dome: Dome, now: datetime) -> None:
    answer("water", 7, NOT_NEEDED)
    answer_line("water", [dome.key], PUT_OFF, today=on(7), now=now + timedelta(days=7, hours=1), until=on(9))
    assert line("water", 8) is None
    assert line("water", 9) is not None


def test_two_phones_may_answer_the_same_line(closed: list[Plant], dome: Dome, now: datetime) -> None:
    events = [
        NewEvent("answered", now + timedelta(days=7, hours=hour), (dome.key,), {"line": "water", "answer": PUT_OFF, "until": until})
        for hour, until in ((2, "2026-02-25"), (1, "2026-03-20"))
    ]
    record_events(events, now=now + timedelta(days=8))
    assert line("water", 10) is None
    assert line("water", 11) is not None


def test_sent_twice_it_is_written_once(closed: list[Plant], answer: Answer, dome: Dome, now: datetime) -> None:
    ident = uuid7()
    assert answer("water", 7, PUT_OFF, until=9, event_id=ident) == [ident]
    given: dict[str, Any] = {"today": on(7), "now": now + timedelta(days=7), "until": on(9), "event_id": ident}
    assert answer_line("water", [dome.key], PUT_OFF, **given) == []
    assert Event.objects.filter(kind="answered").count() == 1


@pytest.mark.parametrize("until", [None, 6, 7, 400])
def test_a_day_that_cannot_be_is_refused(closed: list[Plant], answer: Answer, until: int | None) -> None:
    with pytest.raises(Refused, match="Give a day after today"):
        answer("water", 7, PUT_OFF, until=until)
    assert not Event.objects.filter(kind="answered").exists()


def test_very_many_plants_are_answered_in_parts(
    graft: Callable[..., Written], nursery: Nursery, monkeypatch: pytest.MonkeyPatch, now: datetime
) -> None:
    monkeypatch.setattr("scionary.answers.put_off.AT_ONCE", 2)
    keys = [plant.key for plant in graft(5).plants]
    events = answer_line("untie", keys, NOT_NEEDED, today=on(1), now=now + timedelta(days=1))
    assert len(events) == 3
    (aside,) = standing_asides(nursery, on(2))
    assert (len(aside.keys), len(aside.events)) == (5, 3)


def test_a_line_about_nothing_of_its_own_is_about_the_nursery(nursery: Nursery, now: datetime) -> None:
    answer_line("records", [], PUT_OFF, today=on(0), now=now, until=on(3))
    (event,) = Event.objects.filter(kind="answered")
    assert [subject.key for subject in event.subjects.all()] == [nursery.key]


def test_what_was_not_needed_leaves_the_list_after_a_season(closed: list[Plant], answer: Answer, nursery: Nursery) -> None:
    answer("water", 7, NOT_NEEDED)
    assert len(standing_asides(nursery, on(90))) == 1
    assert standing_asides(nursery, on(100)) == []


def test_what_was_not_needed_the_evening_before_is_asked_on_its_day(
    closed: list[Plant], dome: Dome, nursery: Nursery, now: datetime
) -> None:
    evening = datetime.combine(on(13), now.time(), nursery.zone).replace(hour=23)
    answer_line("water", [dome.key], NOT_NEEDED, today=on(13), now=evening)
    assert line("water", 13) is None
    assert line("water", 14) is not None
