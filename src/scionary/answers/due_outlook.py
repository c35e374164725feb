"""What is due for what the weather will do to domes: tomorrow's heat, shade that has to hold, a tray that runs dry."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from itertools import islice
from typing import Any
from uuid import UUID

from scionary.answers.dome_outlook import DomeOutlook, is_held, outlook_of
from scionary.answers.domes import DomeAnswer
from scionary.answers.due_lines import DueLine
from scionary.answers.put_off import SetAsides
from scionary.answers.words import listed, weekday_soon
from scionary.book.models import Nursery
from scionary.language import say

MOST_AT_ONCE = 12  # domes that one page works out anew; the next page goes on


def outlooks(answers: Sequence[DomeAnswer], nursery: Nursery, today: date) -> dict[UUID, DomeOutlook]:
    """Tomorrow in each dome in which plants stand, by the dome's id."""
    standing = [answer for answer in answers if answer.standing]
    fresh = islice((a for a in standing if not is_held(a.dome)), MOST_AT_ONCE)
    asked = [*(a for a in standing if is_held(a.dome)), *fresh]
    found = ((answer.dome.pk, outlook_of(answer.dome, answer.state, nursery, today=today)) for answer in asked)
    return {ident: outlook for ident, outlook in found if outlook is not None}


def outlook_lines(answers: Sequence[DomeAnswer], asides: SetAsides, nursery: Nursery, today: date) -> list[DueLine]:
    """Lines of domes whose log, or written shade, says how much sun they get; of the others their own page tells."""
    found = outlooks(answers, nursery, today)
    known = [(a, found[a.dome.pk]) for a in answers if a.dome.pk in found and found[a.dome.pk].model.is_known]
    lines = [_line(answer, outlook, today) for answer, outlook in known if outlook.kind in ("hot", "dry")]
    shown = [line for line in lines if line.dome and not asides.hides(line.dome.key, line.step, today, today)]
    shown += _unknown_line([pair for pair in known if pair[1].kind == "unknown"], asides, today)
    return [*shown, *_shade_line([pair for pair in known if pair[1].kind == "shade"], asides, today)]


def _line(answer: DomeAnswer, outlook: DomeOutlook, today: date) -> DueLine:
    hot = outlook.kind == "hot"
    event: tuple[str, dict[str, Any]] | None = None if hot else ("watered", {})
    why = outlook.why if hot else outlook.water_words
    return DueLine(
        "heat" if hot else "dry", outlook.sentence.removesuffix("."), why, today, 0, outlook.rests_on, dome=answer.dome, event=event
    )


def _unknown_line(pairs: Sequence[tuple[DomeAnswer, DomeOutlook]], asides: SetAsides, today: date) -> list[DueLine]:
    """One line for all domes of whose tomorrow the weather tells too little."""
    unseen = [(a, o) for a, o in pairs if not asides.hides(a.dome.key, "heat", today, today)]
    if not unseen:
        return []
    answer, outlook = unseen[0]
    told = {"day": weekday_soon(outlook.day), "name": listed([a.dome.name for a, _ in unseen])}
    what = say("What {day} brings to {name} is not known: take it for a bright day", **told)
    line = DueLine("heat", what, outlook.why, today, 0, outlook.rests_on, dome=answer.dome if len(unseen) == 1 else None)
    return [replace(line, keys=tuple(a.dome.key for a, _ in unseen))]


def _shade_line(pairs: Sequence[tuple[DomeAnswer, DomeOutlook]], asides: SetAsides, today: date) -> list[DueLine]:
    """One line for all domes that only their shade keeps cool; once answered, it rests for what stands in them now."""
    bright = [(a, o) for a, o in pairs if not asides.hides(a.dome.key, "shade", a.grafted, today)]
    if not bright:
        return []
    answer, outlook = max(bright, key=lambda pair: pair[1].slipped.hottest_c.value if pair[1].slipped else 0.0)
    names = listed([a.dome.name for a, _ in bright])
    what = say("{day} will be bright: see that the shade sits firm on {names}", day=weekday_soon(outlook.day), names=names)
    why = say("{dome}: {why}", dome=answer.dome.name, why=outlook.why)
    line = DueLine("shade", what, why, today, 0, outlook.rests_on, dome=answer.dome if len(bright) == 1 else None)
    return [replace(line, keys=tuple(a.dome.key for a, _ in bright))]
