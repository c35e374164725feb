"""A method's after-care and practices, edited step by step; each edit keeps what the step says besides."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.book.commands import save_noun
from scionary.book.models import Method
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, mark, say

STEP_KINDS = Words(
    {
        "check": mark("look in"),
        "firm": mark("check which are firm"),
        "water": mark("water"),
        "vent": mark("vents"),
        "head_back": mark("head back"),
        "untie": mark("untie"),
        "in_leaf": mark("see which are in leaf"),
        "pot_on": mark("pot on"),
    }
)
STEP_FIELDS = ("step", "day", "every", "until", "open_pct", "say", "why", "source", "practice")


def method_called(ident: UUID) -> Method:
    found = Method.objects.filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such method."), where="method", remedy=say("Choose one that is listed."))
    return found


def step_at(method: Method, place: int) -> dict[str, Any]:
    """One step of a method's after-care, counted from 0."""
    if not 0 <= place < len(method.after_care):
        raise UnknownSubject(say("this method has no such step."), where=method.name, remedy=say("Choose one that is listed."))
    return dict(method.after_care[place])


def save_step(ident: UUID, place: int | None, values: Mapping[str, Any], *, was: str, now: datetime, who: str = "") -> Method:
    """Change a step, or add one when `place` is None; `was` is what it said when the form was drawn."""

    def change(method: Method) -> None:
        before = _unchanged(method, place, was) if place is not None else {}
        kept = {name: value for name, value in before.items() if name not in STEP_FIELDS}
        step = {**kept, **{name: value for name, value in values.items() if value not in (None, "")}}
        if place is None:
            method.after_care.append(step)
        else:
            method.after_care[place] = step
        method.after_care.sort(key=lambda each: int(each["day"]))

    return _changed(ident, change, now=now, who=who)


def drop_step(ident: UUID, place: int, *, was: str, now: datetime, who: str = "") -> Method:
    """Take a step out of a method's after-care."""

    def change(method: Method) -> None:
        _unchanged(method, place, was)
        del method.after_care[place]

    return _changed(ident, change, now=now, who=who)


def pick_practice(ident: UUID, topic: str, name: str, *, now: datetime, who: str = "") -> Method:
    """Pick one of the practices that stand side by side; its steps then apply and those of the others do not."""

    def change(method: Method) -> None:
        found = _topic(method, topic)
        if name not in [practice["name"] for practice in found["practices"]]:
            raise Refused(
                say("{name!r} is no practice of this topic.", name=name[:60]), where=topic, remedy=say("Pick one that is listed.")
            )
        found["picked"] = name

    return _changed(ident, change, now=now, who=who)


def add_practice(ident: UUID, topic: str, practice: Mapping[str, str], *, now: datetime, who: str = "") -> Method:
    """Put another practice beside those of a topic; a new topic is made when the method has none of this name."""

    def change(method: Method) -> None:
        found = next((each for each in method.practices if each["topic"].casefold() == topic.casefold()), None)
        if found is None:
            found = {"topic": topic, "picked": practice["name"], "practices": []}
            method.practices.append(found)
        if practice["name"].casefold() in [each["name"].casefold() for each in found["practices"]]:
            raise Refused(say("{name} stands there already.", name=practice["name"]), where="name", remedy=say("Give it another name."))
        found["practices"].append(dict(practice))

    return _changed(ident, change, now=now, who=who)


@patiently
def _changed(ident: UUID, change: Callable[[Method], None], *, now: datetime, who: str) -> Method:
    with transaction.atomic():
        method = Method.objects.select_for_update().filter(pk=ident).first() or method_called(ident)
        method.after_care, method.practices = deepcopy(method.after_care), deepcopy(method.practices)
        change(method)
        values = {"after_care": method.after_care, "practices": method.practices}
        return save_noun(Method, values, now=now, pk=ident, who=who)


def _unchanged(method: Method, place: int, was: str) -> dict[str, Any]:
    """The step, when it still says what the person saw."""
    step = step_at(method, place)
    if step.get("say") != was:
        raise Refused(
            say("the steps were changed meanwhile."), where=method.name, remedy=say("Load the page again and choose the step anew.")
        )
    return step


def _topic(method: Method, topic: str) -> dict[str, Any]:
    found: dict[str, Any] | None = next((each for each in method.practices if each["topic"] == topic), None)
    if found is None:
        raise Refused(say("{topic!r} is no topic of this method.", topic=topic[:60]), where=method.name, remedy=say("Load the page again."))
    return found
