"""The paper that hangs on a dome: its tray, its dates with reasons, boxes for a pencil."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from scionary.answers.domes import DomeAnswer, Pot, dome_answer
from scionary.book import queries
from scionary.errors import BadValue, Refused
from scionary.files.cards import CardDate, DomeCardText, dome_card
from scionary.files.tray_drawing import PotMark

CAUTION = (
    "standing water drowns roots: keep pots on a raised grid and lift one before topping up. Heated mats and misting only on a "
    "residual-current circuit. Blades cut away from hand and body."
)


def dome_card_pdf(dome_id: UUID, *, today: date) -> bytes:
    """The card of one dome as a PDF of one page; it is keyed back under the dome's name."""
    answer = dome_answer(dome_id, today=today)
    try:
        return dome_card(card_text(answer, paper=queries.nursery().paper, today=today))
    except BadValue as error:
        remedy = "Look at the dome's size and its plants."
        raise Refused(f"this card cannot be drawn: {error}.", where=answer.dome.name, remedy=remedy) from error


def card_text(answer: DomeAnswer, *, paper: str, today: date) -> DomeCardText:
    """What the card says."""
    filled = [pot for pot in answer.pots if pot.plant is not None]
    if not filled:
        raise Refused("nothing stands in it yet.", where=answer.dome.name, remedy="Write its grafts down first; the card shows them.")
    fits = all(pot.x_mm >= 0 for pot in filled)
    return DomeCardText(
        dome=answer.dome.name,
        code=answer.dome.name,
        pots=[_mark(pot, answer, placed=fits) for pot in filled],
        place=answer.dome.stands,
        closed=_day_words(answer.grafted) if answer.grafted else "",
        dates=[CardDate(_day_words(step.when), step.say, step.why) for step in answer.dates(today) if not step.done],
        caution=CAUTION,
        printed=_day_words(today),
        tray_length_mm=answer.dome.length_mm,
        tray_width_mm=answer.dome.width_mm,
        front="near side",
        page=paper,
    )


def _mark(pot: Pot, answer: DomeAnswer, *, placed: bool) -> PotMark:
    """One pot; the page counts downwards, the tray from its near left corner."""
    assert pot.plant is not None
    ring = pot.ring
    known = ring is not None and not ring.mark and (ring.low, ring.high) != (0.0, 1.0)
    return PotMark(
        said=pot.plant.spoken,
        chance=(ring.low, ring.mid, ring.high) if known and ring else None,
        dead=ring is not None and ring.mark == "cross",
        doubt=ring is not None and ring.mark == "question",
        x_mm=pot.x_mm if placed else None,
        y_mm=answer.dome.width_mm - pot.y_mm if placed else None,
        size_mm=answer.pot_size_mm if placed else None,
        round=answer.round_pots,
    )


def _day_words(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b %Y}"
