"""What lies ahead in a dome, as its page and its card on the list show it: the one thing to do, tomorrow, and what both rest on."""

from __future__ import annotations

from datetime import date
from typing import Any

from scionary.answers.dome_model import model_of
from scionary.answers.dome_opening import with_opening
from scionary.answers.dome_outlook import DomeOutlook, outlook_of
from scionary.answers.domes import DomeAnswer, dome_answers
from scionary.answers.due import dome_due
from scionary.answers.due_outlook import outlooks
from scionary.book.models import Nursery


def cards(nursery: Nursery, today: date) -> dict[str, Any]:
    """Each dome in use with the one thing to do: what is due, else what tomorrow brings, else its next date; and the others."""
    answers = dome_answers(today=today, all_domes=True)
    found = outlooks(answers, nursery, today)
    used = [_card(answer, found.get(answer.dome.pk), nursery, today) for answer in answers if answer.standing]
    return {"used": used, "free": [answer for answer in answers if not answer.standing]}


def outlook_shown(answer: DomeAnswer, nursery: Nursery, today: date) -> dict[str, Any]:
    """Tomorrow in one dome and the sizes that it rests on."""
    if not answer.standing:
        return {"outlook": None}
    model = model_of(answer.dome)
    outlook = outlook_of(answer.dome, answer.state, nursery, today=today)
    return {"outlook": outlook, "model": model, "told": model.told(), "assumed": model.assumed(nursery)}


def _card(answer: DomeAnswer, outlook: DomeOutlook | None, nursery: Nursery, today: date) -> dict[str, Any]:
    due = next(iter(dome_due(answer, today=today)), None)
    step = next((step for step in with_opening(answer, nursery, today).dates(today) if not step.done), None)
    told = outlook if outlook is not None and (outlook.model.is_known or not outlook.kind) else None
    thing, why = (due.what, due.why) if due else (told.sentence, told.why) if told else ("", "")
    return {"answer": answer, "thing": thing, "why": why, "step": None if due and due.step == (step.step if step else "") else step}
