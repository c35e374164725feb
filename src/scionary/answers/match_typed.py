"""What a person gives to match: lines that were typed, rows that were measured, a method; from a page or a file."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from scionary.answers.bags import bag_meant
from scionary.answers.compatible import rows_of
from scionary.answers.join_ask import JoinAsk, assumed, method_meant
from scionary.answers.join_usual import hand_meant, stage_meant, usual_way
from scionary.answers.match_file import NO_FILE, FileStems
from scionary.answers.match_stems import MatchAsk
from scionary.answers.measured_stems import measured_row, row_called
from scionary.answers.stems_typed import MOST_STEMS, StemLine, read_lines, stems_of_row
from scionary.book.models import Nursery, RootstockLot
from scionary.errors import Refused, UnknownSubject
from scionary.language import mark, say
from scionary.union import Stem

_SECTIONS = (mark("scions"), mark("stocks"))


@dataclass(frozen=True)
class MatchTyped:
    """Lines of scions and of stocks, ids of bags and lots, a method by its name or id, the unit.

    Whose hand and what the stocks are doing are as at the bench of the day where they are not named; an empty grafter is nobody.
    """

    scions: str
    stocks: str
    bags: tuple[str, ...] = ()
    lots: tuple[str, ...] = ()
    method: str = ""
    unit: str = ""
    grafter: str | None = None
    skill: str = ""
    stage: str = ""
    names_go_together: bool = True
    of_file: FileStems = NO_FILE


def read_match(typed: MatchTyped, nursery: Nursery, *, today: date) -> tuple[MatchAsk, list[str]]:
    """The question, and what is to ask about; what is not named is as at the bench of the day."""
    unit = typed.unit or nursery.length_unit
    scions, doubts = read_lines(typed.scions, "scions", unit)
    stocks, more = read_lines(typed.stocks, "stocks", unit)
    scions += [*typed.of_file.scions, *_measured("bags", typed.bags)]
    stocks += [*typed.of_file.stocks, *_measured("lots", typed.lots)]
    for where, stems in (("scions", scions), ("stocks", stocks)):
        if len(stems) > MOST_STEMS:
            raise Refused(say("more than {most} stems.", most=MOST_STEMS), where=where, remedy=say("Match them in parts."))
    method, name = method_meant(typed.method or usual_way(today, nursery))
    unknown: dict[str, Any] = {**assumed(nursery)}
    known = stage_meant(typed.stage, nursery, today=today)
    grafter, hand = hand_meant(typed.grafter, typed.skill, nursery, today=today)
    how = JoinAsk(Stem(7.0), Stem(3.0), method, hand, name, known.stage, grafter, unit=nursery.length_unit, rows=(), **unknown)
    asked = MatchAsk(scions, stocks, how, typed.names_go_together, rows_of(nursery), known.words)
    return asked, [*doubts, *more, *typed.of_file.doubts]


def _measured(noun: str, idents: Iterable[str]) -> list[StemLine]:
    return [stem for ident in idents for stem in stems_of_row(row_called(noun, UUID(ident)))]


def two_sections(text: str) -> tuple[str, str]:
    """The lines under `scions` and those under `stocks`; the other lines stay empty, so that a refusal names the file's line."""
    found: dict[str, list[str]] = {name: [] for name in _SECTIONS}
    here = ""
    for at, line in enumerate(text.splitlines(), 1):
        word = line.strip().strip(':;,\t "').casefold()
        here = next((name for name in _SECTIONS if word in (name, say(name).casefold())), here)
        titled = any(word in (name, say(name).casefold()) for name in _SECTIONS)
        if line.strip() and not here:
            remedy = say("Write scions on a line, their thicknesses below it, then stocks and theirs.")
            raise Refused(say("{line!r} stands under no title.", line=line.strip()[:40]), where=say("line {at}", at=at), remedy=remedy)
        for name in _SECTIONS:
            found[name].append(line if name == here and not titled else "")
    return "\n".join(found[_SECTIONS[0]]), "\n".join(found[_SECTIONS[1]])


def lots_named(names: Iterable[str]) -> tuple[str, ...]:
    """The ids of lots by their names."""
    found = []
    for name in names:
        lot = RootstockLot.objects.filter(name__iexact=name.strip()).first()
        if lot is None:
            known = ", ".join(RootstockLot.objects.filter(retired=False).values_list("name", flat=True)[:8])
            raise UnknownSubject(
                say("no stock lot is called {name!r}.", name=name[:60]),
                where="lot",
                remedy=say("Known: {names}.", names=known or say("none yet")),
            )
        found.append(str(lot.pk))
    return tuple(found)


def bags_named(names: Iterable[str]) -> tuple[str, ...]:
    """The ids of bags by their codes or names; one of which nothing was measured is refused, nothing tells how thick its scions are."""
    found = []
    for name in names:
        bag = bag_meant(name)
        if not measured_row(bag).there:
            remedy = say("Measure them one by one on its page, or write a line such as 12 x 3 {cultivar}.", cultivar=bag.cultivar.spoken)
            raise Refused(say("no stick of {bag} that is left was measured.", bag=bag.name), where="bag", remedy=remedy)
        found.append(str(bag.pk))
    return tuple(found)
