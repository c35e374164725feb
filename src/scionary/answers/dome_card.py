"""The paper that hangs on a dome: its tray, its dates with reasons, boxes for a pencil."""

from __future__ import annotations

from datetime import date
from itertools import groupby
from uuid import UUID

from scionary.answers.after_care import CareStep, due_steps
from scionary.answers.domes import DomeAnswer, Pot, dome_answer
from scionary.answers.words import weekday_date, weekday_words
from scionary.book import queries
from scionary.errors import BadValue, Refused
from scionary.files.cards import CardDate, DomeCardText, dome_card
from scionary.files.tray_drawing import PotMark
from scionary.language import mark, say

CAUTION = mark(
    "standing water drowns roots: keep pots on a raised grid and lift one before topping up. Heated mats "
    "and misting only on a residual-current circuit. Blades cut away from hand and body."
)
NEAR_SIDE = mark("near side")
_MATTERS = ("vent", "firm")
_ORDER = (*_MATTERS, "check", "water")  # of the steps of one day


def dome_card_pdf(dome_id: UUID, *, today: date) -> bytes:
    """The card of one dome as a PDF of one page; it is keyed back under the dome's name."""
    answer = dome_answer(dome_id, today=today)
    try:
        return dome_card(card_text(answer, paper=queries.nursery().paper, today=today))
    except BadValue as error:
        remedy = say("Look at the dome's size and its plants.")
        raise Refused(say("this card cannot be drawn: {error}.", error=error), where=answer.dome.name, remedy=remedy) from error


def card_text(answer: DomeAnswer, *, paper: str, today: date) -> DomeCardText:
    """What the card says."""
    if not any(pot.plant for pot in answer.pots):
        raise Refused(
            say("nothing stands in it yet."), where=answer.dome.name, remedy=say("Write its grafts down first; the card shows them.")
        )
    return DomeCardText(
        dome=answer.dome.name,
        pots=[_mark(pot, answer) for pot in answer.pots if pot.x_mm >= 0],
        beyond=[_mark(pot, answer) for pot in answer.pots if pot.x_mm < 0],
        place=answer.dome.stands,
        closed=weekday_words(answer.grafted) if answer.grafted else "",
        dates=_dates(answer, today),
        caution=CAUTION,
        printed=weekday_words(today),
        tray_length_mm=answer.dome.length_mm,
        tray_width_mm=answer.dome.width_mm,
        front=NEAR_SIDE,
        page=paper,
        marked=" ".join(f"{pot.plant.spoken}: {', '.join(pot.plant.cautions)}." for pot in answer.pots if pot.plant and pot.plant.cautions),
    )


def _dates(answer: DomeAnswer, today: date) -> list[CardDate]:
    """Open steps, the late ones first; the steps of one day are one line."""
    late = [step for step in due_steps(answer.steps, today) if step.when < today]
    coming = [step for step in answer.dates(today) if not step.done]
    days = groupby(sorted([*late, *coming], key=lambda step: step.when), key=lambda step: step.when)
    return [_date(when, sorted(steps, key=_order), late=when < today) for when, steps in days]


def _date(when: date, steps: list[CareStep], *, late: bool) -> CardDate:
    said = [steps[0].say, *(f"{step.say[0].lower()}{step.say[1:]}" for step in steps[1:])]
    matters = any(step.step in _MATTERS for step in steps)
    why = " ".join(dict.fromkeys(step.why for step in steps))
    words = "; ".join(said).replace(" mm", "\N{NO-BREAK SPACE}mm")
    return CardDate(weekday_date(when), words, why, late=late, matters=matters)


def _order(step: CareStep) -> int:
    return _ORDER.index(step.step) if step.step in _ORDER else len(_ORDER)


def _mark(pot: Pot, answer: DomeAnswer) -> PotMark:
    """One place; the page counts downwards, the tray from its near left corner."""
    ring, placed = pot.ring, pot.x_mm >= 0
    known = ring is not None and not ring.mark and (ring.low, ring.high) != (0.0, 1.0)
    return PotMark(
        said=f"{pot.plant.spoken}{'*' if pot.plant.cautions else ''}" if pot.plant else "",
        chance=(ring.low, ring.mid, ring.high) if known and ring else None,
        dead=ring is not None and ring.mark == "cross",
        doubt=ring is not None and ring.mark == "question",
        x_mm=pot.x_mm if placed else None,
        y_mm=answer.dome.width_mm - pot.y_mm if placed else None,
        size_mm=answer.pot_size_mm if placed else None,
        round=answer.round_pots,
        place=pot.place,
        free=pot.plant is None,
    )
