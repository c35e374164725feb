"""Wishes as they are said, one a line: "20 Red Tarn at 30"."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID, uuid5

from django.db import transaction

from scionary.answers.called import called
from scionary.answers.spelling import did_you_mean, numbered_apart
from scionary.answers.words import plural
from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Wish
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import either, say

MOST_LINES = 500
_SAID = re.compile(
    r"^\s*(?P<count>\d{1,6})(?:\s*[x×])?\s+(?P<name>\D.*?)(?:\s+(?:at\s|@)\s*(?P<worth>\d{1,7}(?:[.,]\d{1,2})?))?"
    r"(?:\s+by\s+(?P<by>\d{4}-\d\d-\d\d))?\s*$"
)
_LEFT_IN = re.compile(r"@|\s(?:at|by)\s+\W*\d")  # a price or a day that was not understood, which would go into the name
_MOST_PLANTS, _LONGEST_NAME, _MOST_TOLD = 100_000, 60, 12


@dataclass(frozen=True)
class SaidWish:
    """So many of a cultivar; `worth` is money for one plant, `by` the day it is wanted by, None where they are not said."""

    wanted: int
    name: str
    worth: str | None = None
    by: date | None = None


def wish_said(text: str) -> SaidWish | None:
    """20 Red Tarn, 20 x Red Tarn, 20 Red Tarn at 30, 20 Red Tarn by 2027-09-01; None where it is no wish."""
    match = _SAID.match(text)
    if match is None or not 1 <= int(match["count"]) <= _MOST_PLANTS or len(match["name"]) > _LONGEST_NAME:
        return None
    by = _day(match["by"]) if match["by"] else None
    if _LEFT_IN.search(match["name"]) or (match["by"] and by is None):
        return None
    return SaidWish(int(match["count"]), match["name"], match["worth"].replace(",", ".") if match["worth"] else None, by)


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:  # 2027-02-30
        return None


def lines_said(text: str, *, anyway: bool) -> list[SaidWish]:
    """The wishes of some lines, blank ones left out; all lines that are none are told at once, and names that are nearly the book's."""
    lines = [(number, line) for number, line in enumerate(text.splitlines(), start=1) if line.strip()]
    said = [(number, line, wish_said(line)) for number, line in lines]
    wrong = [say("line {number}, {typed!r}", number=number, typed=line.strip()[:40]) for number, line, wish in said if wish is None]
    if wrong:
        told = "; ".join(wrong[:_MOST_TOLD])
        raise Refused(say("no wish: {lines}.", lines=told), where="wishes", remedy=_remedy())
    if not 1 <= len(lines) <= MOST_LINES:
        many = plural(len(lines), "line")
        raise Refused(say("{lines} cannot be taken.", lines=many), where="wishes", remedy=say("Write 1 to {most}.", most=MOST_LINES))
    found = [wish for *_, wish in said if wish is not None]
    if not anyway:
        _refuse_near([wish.name for wish in found])
    return found


def _remedy() -> str:
    return say("Write a number and a name, and what else is known: 20 Red Tarn at 30 by 2027-09-01.")


def _refuse_near(names: Sequence[str]) -> None:
    near: dict[str, Sequence[str]] = {}
    new: list[str] = []
    for name in dict.fromkeys(names):
        known = called(name)
        if known.known is None:
            near[name] = known.near or [each for each in did_you_mean(name, new) if not numbered_apart(name, each)]
            new.append(name)
    near = {name: meant for name, meant in near.items() if meant}
    if near:
        told = "; ".join(say("{name}: perhaps {near}", name=name, near=either(meant)) for name, meant in list(near.items())[:_MOST_TOLD])
        raise Refused(
            say("these names are nearly the book's, or nearly one another. {names}.", names=told), where="wishes",
            remedy=say("Put them right, or say that they are new."),
        )  # fmt: skip


@patiently
def save_lines(said: Sequence[SaidWish], *, season: int, assurance: float, now: datetime, ident: UUID, who: str = "") -> list[Wish]:
    """Add them all or none; the same lines sent twice under one id are added once."""
    made = []
    with transaction.atomic():
        for number, wish in enumerate(said):
            key = uuid5(ident, str(number))
            there = Wish.objects.filter(pk=key).first()
            values = {"cultivar": cultivar_called(wish.name, now=now, who=who), "wanted": wish.wanted, "season": season,
                      "assurance": assurance, "worth": wish.worth, "by_when": wish.by}  # fmt: skip
            made.append(there or save_noun(Wish, {"id": key, **values}, now=now, who=who))
    return made
