"""What a grower writes for how it went: "8/10 took", "all", "took", "dead?", a blank. Missing is neither dead nor alive."""

from __future__ import annotations

import datetime as dt
import re
from dataclasses import dataclass
from typing import Literal

from scionary.files.tables import CellValue, cell_text
from scionary.language import mark, say

Outcome = Literal["alive", "dead", "some", "unknown"]

_COUNT = "(?:took|take[ns]?|alive|survived|living|good|ok|growing|in leaf|firm|grafts?|plants?|made)"
_TAIL = r"\.?(?:\s*[,;:–-]\s+(.*)|\s*(\(.*)|\s+([^\d\W].*))?$"
_PAIR = "(\\d{1,5})\\s*(?:/|of|out of|from|von|ex)\\s*(\\d{1,5})\\b"
_OF = re.compile(rf"^(?:{_COUNT}\s*:?\s*)?{_PAIR}(?:\s*{_COUNT}\b)?{_TAIL}", re.IGNORECASE)
_PLAIN = re.compile(rf"^(?:{_COUNT}\s*:?\s*)?(\d{{1,5}})\b(?:\s*{_COUNT}\b)?{_TAIL}", re.IGNORECASE)
_SHARE = re.compile(r"^(\d{1,3}(?:[.,]\d+)?)\s*%\s*(.*)$")


def _listed(text: str) -> frozenset[str]:
    return frozenset(word.strip() for word in text.split("|"))


_UNKNOWN = _listed("|?|??|-|--|—|–|n/a|na|unknown|not checked|not known|dont know|don't know|tbc|tbd|no idea|forgot")
_ALL = _listed("all|all took|all alive|alle|all of them|all ok|all good|all growing|all in leaf|every one")
_NONE = _listed("none|none took|all dead|all failed|all lost|all died|nil|zero|no takes|keine|nothing")
_ALIVE = _listed("took|take|takes|taken|yes|y|ok|alive|living|lives|growing|firm|in leaf|good|success|✓|✔|ja")
_DEAD = _listed("dead|failed|fail|no|n|lost|died|did not take|didn't take|no take|dried out|rotted|†|nein")
_STAGES = {"growing": "growing", "firm": "firm", "in leaf": "in_leaf"}
_LONGEST_FIRST = "|".join(sorted(map(re.escape, _ALIVE | _DEAD), key=lambda word: (-len(word), word)))
_WORD = re.compile(rf"^({_LONGEST_FIRST})(?![\w'])[\s,;.:!–-]*(.*)$", re.IGNORECASE)


@dataclass(frozen=True)
class Count:
    """How many took of how many, as far as the cell says; `takes` None is not known; `note` is what else stood there."""

    takes: int | None
    of: int | None = None
    outcome: Outcome = "unknown"
    stage: str | None = None
    note: str = ""


@dataclass(frozen=True)
class Puzzle:
    """A cell that is not understood: why, and what would be."""

    why: str
    remedy: str


def is_many(value: CellValue) -> bool:
    """Whether a cell counts more than one graft."""
    text = cell_text(value)
    return looks_like_count(text) or (text.isdigit() and int(text) > 1)


def looks_like_count(text: str) -> bool:
    """Whether a text says how many took of how many."""
    return bool(_OF.match(text)) or text.casefold().strip() in _ALL | _NONE


def read_count(value: CellValue, grafts: int | None) -> Count | Puzzle:
    """Read how it went; `grafts` is the number made when another column says it."""
    if isinstance(value, dt.date | dt.datetime):
        return Puzzle(
            say("the spreadsheet holds a date here ({cell_text}); it turns counts such as 8/10 into dates.", cell_text=cell_text(value)),
            say('Was it {month}/{day} or {day}/{month}? Write it as "8 of 10".', month=value.month, day=value.day),
        )
    if isinstance(value, bool):
        return _single(value, grafts, None, "")
    text = cell_text(value).strip()
    plain = text.casefold().rstrip(".!")
    if plain in _UNKNOWN:
        return Count(None)
    if plain.endswith("?"):
        return Count(None, note=text)
    if plain in _ALL or plain in _NONE:
        return _whole(plain in _ALL, grafts, text)
    if plain == "both" and grafts == 2:
        return _counted(2, 2, "")
    if plain in ("x", "xx"):
        return Puzzle(say("{typed!r} can mean that it took or that it failed.", typed=text), say('Write "took" or "dead".'))
    return (
        _numbers(text, grafts)
        or _words(text, grafts)
        or Puzzle(say("{typed!r} says neither how many took nor whether it took.", typed=text), say(_HOW))
    )


_HOW = mark('Write "8 of 10", a number, "took", "dead", or leave it blank when not known.')


def _whole(every: bool, grafts: int | None, text: str) -> Count | Puzzle:
    if grafts is None and every:
        return Puzzle(say("{typed!r} of how many?", typed=text), say('Write "10 of 10".'))
    if grafts is None:
        return Puzzle(say("{typed!r} of how many?", typed=text), say('Write "0 of 10".'))
    return _counted(grafts if every else 0, grafts, "")


def _counted(takes: int, of: int | None, note: str) -> Count | Puzzle:
    if of is not None and takes > of:
        return Puzzle(say("{takes} took of {all} grafted.", takes=takes, all=of), say("One of the two numbers is wrong."))
    outcome: Outcome = "dead" if takes == 0 else "alive" if takes == of else "some"
    return Count(takes, of, outcome, note=note.strip(" ()"))


def _numbers(text: str, grafts: int | None) -> Count | Puzzle | None:
    pair, share, plain = _OF.match(text), _SHARE.match(text), _PLAIN.match(text)
    if pair:
        takes, of = int(pair[1]), int(pair[2])
        if grafts is not None and grafts != of:
            return Puzzle(
                say("here it is {all} grafts, in the column of grafts {grafts}.", all=of, grafts=grafts), say("Make the two agree.")
            )
        return _counted(takes, of, next(filter(None, pair.groups()[2:]), ""))
    if share:
        return _from_share(float(share[1].replace(",", ".")), grafts, text, share[2])
    if plain:
        if grafts is None:
            return Puzzle(say("{typed!r} of how many?", typed=text), say('Write "8 of 10", or say which column holds the number grafted.'))
        return _counted(int(plain[1]), grafts, next(filter(None, plain.groups()[1:]), ""))
    return None


def _from_share(per_cent: float, grafts: int | None, text: str, note: str) -> Count | Puzzle:
    takes = (grafts or 0) * per_cent / 100.0
    if grafts is None or abs(takes - round(takes)) > 0.06 * max(grafts, 1) / 10.0 + 1e-9:
        of = say("how many") if grafts is None else str(grafts)
        return Puzzle(
            say("{typed!r} of {all} is no whole number of grafts.", typed=text, all=of)
            if grafts
            else say("{typed!r} of how many?", typed=text),
            say('Write "8 of 10".'),
        )
    return _counted(round(takes), grafts, note)


def _words(text: str, grafts: int | None) -> Count | Puzzle | None:
    found = _WORD.match(text)
    if not found:
        return None
    word = found[1].casefold()
    return _single(word in _ALIVE, grafts, _STAGES.get(word), found[2])


def _single(alive: bool, grafts: int | None, stage: str | None, note: str) -> Count | Puzzle:
    if grafts is not None and grafts != 1:
        word = "took" if alive else "failed"
        return Puzzle(
            say("one word for {grafts} grafts: did all of them, or some?", grafts=grafts),
            say('Write how many took, or "all {word}".', word=word),
        )
    return Count(int(alive), 1, "alive" if alive else "dead", stage, note.strip(" ()"))
