"""What is meant where nobody names a method, a hand, or what the stock is doing: the bench day's own, wherever stems are joined."""

from __future__ import annotations

from datetime import date

from scionary.answers.join_ask import STAGE_WORDS, hand_of, join_method
from scionary.answers.stock_stage import StockStage, stock_stage
from scionary.answers.usual_method import lately_at_the_bench, method_for
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.language import say
from scionary.union import SKILLS, Skill, Stage

USUAL_WAY = "side_veneer"  # where neither a person nor the book names one
UNKNOWN = "unknown"  # the stage of a stock of which a person says that nobody knows it


def usual_way(today: date, nursery: Nursery) -> str:
    """The method of these days, by its id; else the usual way."""
    row = method_for(today, nursery)
    return str(row.pk) if row is not None and join_method(row) else USUAL_WAY


def usual_grafter(today: date) -> str:
    """Who grafted on the last bench day, when that is not long ago; empty where nobody is named."""
    last = lately_at_the_bench(today)
    return last.grafter if last else ""


def hand_meant(grafter: str | None, chosen: str, nursery: Nursery, *, today: date) -> tuple[str, Skill]:
    """Who grafts, and how far that hand misses: a preset that is chosen goes first; None: nobody was named, so the last bench day's."""
    if chosen and chosen not in SKILLS:
        remedy = say("Give one of {choices}.", choices=", ".join(SKILLS))
        raise Refused(say("no hand is called {text!r}.", text=chosen[:20]), where="skill", remedy=remedy)
    named = usual_grafter(today) if grafter is None else " ".join(grafter.split())
    return named, hand_of(nursery, named, chosen=chosen)


def stage_meant(text: str, nursery: Nursery, *, today: date) -> StockStage:
    """What the stock is doing: as said, else as the warmth outside tells."""
    key = text.strip().replace("-", "_").replace(" ", "_")
    if not key:
        return stock_stage(today, nursery)
    if key == UNKNOWN:
        return StockStage(None, say("What the stock is doing is not known."))
    if key not in STAGE_WORDS:
        remedy = say("Give one of {choices}.", choices=", ".join((*Stage, UNKNOWN)))
        raise Refused(say("no stage is called {text!r}.", text=text[:20]), where="stage", remedy=remedy)
    return StockStage(Stage(key), "")
