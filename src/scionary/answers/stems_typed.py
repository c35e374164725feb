"""Stems typed or pasted, one a line: `3.1 Red Tarn`, `12 x 2.8`, `7.2; 24-B; pot 4-inch square`, `? 24-B` for one not measured."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from scionary.answers.called import called
from scionary.answers.join_typed import doubt_words, stem_reading
from scionary.answers.measured_stems import MeasuredRow
from scionary.book.models import RootstockLot, ScionBag
from scionary.errors import Refused
from scionary.language import mark, say

MOST_STEMS = 1_000  # of either kind at once; project default
_LONGEST_LINE, _MOST_SHOWN, _MOST_URGENT = 200, 60, 100
_NUMBER = r"\d+(?:[.,]\d+)?(?:[\s-]+\d+\s*/\s*\d+|\s*/\s*\d+)?"
_UNIT = r"(?:\s*(?:mm|cm|inches|inch|in|\"|″)(?=$|[\s;,!]))?"
_LINE = re.compile(rf"^(?:(?P<count>\d{{1,7}})\s*[x×*]\s*)?(?P<size>\?|{_NUMBER}{_UNIT})(?=$|[\s;,!])(?P<rest>.*)$")
_PARTS = re.compile(r"[;\t]|,\s")
_WORDS = (mark("lot"), mark("pot"))


@dataclass(frozen=True)
class StemLine:
    """One stem of a row: what it is called on the bench, its thickness (None: not measured), and what it may be joined with."""

    label: str
    thickness_mm: float | None
    name: str = ""  # the cultivar of a scion, the species of a stock, as botanists write it; empty where it is not known
    said: str = ""  # the cultivar's spoken name, or the lot's
    lot: str | None = None
    pot: str | None = None
    first: int = 0
    usual_mm: float | None = None
    of: tuple[str, str, int] | None = None  # of which row of the book, and its number there

    @property
    def group(self) -> str:
        """Stems that are alike where they were not measured."""
        return self.lot or self.said


def read_lines(text: str, where: str, unit: str) -> tuple[list[StemLine], list[str]]:
    """The stems of a text, numbered as they stand, and what is to ask about; refused at the line that cannot be read."""
    found: list[StemLine] = []
    doubts: list[str] = []
    for at, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        place = say("line {at}", at=at)
        try:
            count, stem, doubt = _read_line(line.strip(), place, where, unit)
        except Refused as refusal:
            raise Refused(f"{place}: {refusal.message}", where=where, remedy=refusal.remedy) from refusal
        doubts += [doubt] if doubt else []
        if len(found) + count > MOST_STEMS:
            raise Refused(say("more than {most} stems.", most=MOST_STEMS), where=where, remedy=say("Match them in parts."))
        found += [replace(stem, label=str(len(found) + one)) for one in range(1, count + 1)]
    return found, doubts


def _read_line(line: str, place: str, side: str, unit: str) -> tuple[int, StemLine, str]:
    matched = _LINE.match(line) if len(line) <= _LONGEST_LINE else None
    if matched is None:
        remedy = say("Write a thickness first: 3.1, 12 x 2.8, 13/64 in, or ? where it was not measured.")
        raise Refused(say("{line!r} begins with no thickness.", line=line[:_MOST_SHOWN]), where=place, remedy=remedy)
    count = int(matched["count"] or 1)
    if count < 1:
        raise Refused(say("none of them?"), where=place, remedy=say("Give a number from 1, or leave the line out."))
    thickness = None if matched["size"] == "?" else stem_reading(place, matched["size"], unit)
    stem = _described(matched["rest"], side, place)
    doubt = f"{place}: {doubt_words(thickness)}" if thickness is not None and thickness.doubt else ""
    return count, replace(stem, thickness_mm=thickness.thickness_mm if thickness else None), doubt


def _described(rest: str, side: str, place: str) -> StemLine:
    """Name, lot, pot and how urgent it is, as they stand behind a thickness."""
    first = min(rest.count("!"), _MOST_URGENT)
    parts = [" ".join(part.split()) for part in _PARTS.split(rest.replace("!", ""))]
    lot, pot = (_after(parts, word) for word in _WORDS)
    others = [part for part in parts if part and not _begins(part)]
    if len(others) > 1:
        raise Refused(
            say("two names stand there: {first} and {second}.", first=others[0][:40], second=others[1][:40]),
            where=place,
            remedy=say("Write lot or pot before what is one."),
        )
    said = others[0] if others else ""
    stem = StemLine("", None, said=said, lot=lot, pot=pot, first=first)
    return described(stem, side)


def described(stem: StemLine, side: str) -> StemLine:
    """A stem with what the book knows of its cultivar or its lot."""
    return _scion(stem) if side == "scions" else _stock(stem)


def _begins(part: str) -> bool:
    return any(part.casefold().startswith(f"{word} ") for text in _WORDS for word in (text, say(text).casefold()))


def _after(parts: Iterable[str], word: str) -> str | None:
    """What stands behind a word; None where the word does not stand there."""
    for part in parts:
        for begin in (f"{word} ", f"{say(word).casefold()} "):
            if part.casefold().startswith(begin):
                return part[len(begin) :].strip().casefold()
    return None


def _scion(stem: StemLine) -> StemLine:
    """A scion's cultivar as the book knows it."""
    found = called(stem.said).cultivar if stem.said else None
    return replace(stem, said=found.spoken, name=found.botanical) if found else stem


def _stock(stem: StemLine) -> StemLine:
    """A stock's lot as the book knows it: its species, its pot, its usual thickness."""
    named = stem.lot or stem.said
    lot = RootstockLot.objects.select_related("pot_kind").filter(name__iexact=named).first() if named else None
    if lot is None:
        return replace(stem, lot=(stem.lot or stem.said.casefold()) or None)
    pot = stem.pot or (lot.pot_kind.name.casefold() if lot.pot_kind else None)
    return replace(stem, name=lot.species, said=lot.name, lot=lot.name.casefold(), pot=pot, usual_mm=lot.diameter_mm)


def stems_of_row(found: MeasuredRow) -> Iterator[StemLine]:
    """The stems of a lot or of a bag: those that were measured; of a lot of which none was, all that are left."""
    kind = "lots" if found.is_lot else "bags"
    plain = _of_lot(found.row) if isinstance(found.row, RootstockLot) else _of_bag(found.row)
    for stem in found.there:
        yield replace(plain, label=f"{found.row} {stem.number}", thickness_mm=stem.thickness_mm, of=(kind, str(found.row.pk), stem.number))
    for number in range(1, min(found.unmeasured, MOST_STEMS) + 1 if found.usual_mm else 1):
        yield replace(plain, label=f"{found.row} {number}")


def _of_lot(lot: RootstockLot) -> StemLine:
    pot = lot.pot_kind.name.casefold() if lot.pot_kind else None
    return StemLine("", None, name=lot.species, said=lot.name, lot=lot.name.casefold(), pot=pot, usual_mm=lot.diameter_mm)


def _of_bag(bag: ScionBag) -> StemLine:
    return StemLine("", None, name=bag.cultivar.botanical, said=bag.cultivar.spoken)
