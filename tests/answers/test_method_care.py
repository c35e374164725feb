"""A method's after-care and practices, edited step by step."""

from __future__ import annotations

from datetime import datetime

import pytest

from scionary.answers.method_care import add_practice, drop_step, method_called, pick_practice, save_step, step_at
from scionary.book.ids import uuid7
from scionary.book.models import Method
from scionary.errors import Refused, UnknownSubject

pytestmark = pytest.mark.django_db

NEW = {"step": "check", "say": "Look for ants", "why": "They farm aphids.", "day": 3, "source": "my own practice"}


def test_a_new_step_finds_its_place_by_day(method: Method, now: datetime) -> None:
    saved = save_step(method.pk, None, NEW, was="", now=now)
    days = [step["day"] for step in saved.after_care]
    assert days == sorted(days)
    assert saved.after_care[0]["say"] == "Look for ants"
    assert len(saved.after_care) == len(method.after_care) + 1


def test_a_changed_step_keeps_what_it_says_besides(method: Method, now: datetime) -> None:
    place = next(at for at, step in enumerate(method.after_care) if step.get("cover_off"))
    before = step_at(method, place)
    saved = save_step(method.pk, place, {**before, "day": 50}, was=before["say"], now=now)
    assert [step["day"] for step in saved.after_care if step.get("cover_off")] == [50]


def test_an_emptied_field_is_gone(method: Method, now: datetime) -> None:
    place = next(at for at, step in enumerate(method.after_care) if step.get("every"))
    before = step_at(method, place)
    saved = save_step(method.pk, place, {**before, "every": None, "until": None}, was=before["say"], now=now)
    assert sum(bool(step.get("every")) for step in saved.after_care) == sum(bool(step.get("every")) for step in method.after_care) - 1


def test_a_step_that_was_changed_meanwhile_is_left_alone(method: Method, now: datetime) -> None:
    for change in (lambda: save_step(method.pk, 0, NEW, was="something else", now=now), lambda: drop_step(method.pk, 0, was="x", now=now)):
        with pytest.raises(Refused, match="the steps were changed meanwhile"):
            change()
    assert method_called(method.pk).after_care == method.after_care


def test_a_step_is_taken_out(method: Method, now: datetime) -> None:
    first = step_at(method, 0)
    saved = drop_step(method.pk, 0, was=first["say"], now=now)
    assert len(saved.after_care) == len(method.after_care) - 1


def test_the_steps_of_the_picked_practice_apply(method: Method, now: datetime) -> None:
    topic, name = "Water in the tray", "No standing water"
    saved = pick_practice(method.pk, topic, name, now=now)
    said = {step["say"] for step in saved.steps()}
    assert "Lift a pot: water only if it is light" in said
    assert not any("Top up the water" in words for words in said)
    with pytest.raises(Refused, match="is no practice of this topic"):
        pick_practice(method.pk, topic, "Prayer", now=now)
    with pytest.raises(Refused, match="is no topic of this method"):
        pick_practice(method.pk, "Music", name, now=now)


def test_a_practice_stands_beside_the_others_or_begins_a_topic(method: Method, now: datetime) -> None:
    own = {"name": "Sand bed", "says": "Pots stand on wet sand.", "source": "my own practice"}
    beside = add_practice(method.pk, "water in the tray", own, now=now)
    assert [p["name"] for p in beside.practices[0]["practices"]][-1] == "Sand bed"
    with pytest.raises(Refused, match="Sand bed stands there already"):
        add_practice(method.pk, "Water in the tray", own, now=now)
    new = add_practice(method.pk, "Tying", own, now=now)
    assert new.practices[-1]["picked"] == "Sand bed"


def test_a_method_or_step_of_nobody_is_told(method: Method) -> None:
    with pytest.raises(UnknownSubject, match="no such method"):
        method_called(uuid7())
    with pytest.raises(UnknownSubject, match="no such step"):
        step_at(method, 99)
