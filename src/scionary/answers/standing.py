"""Starting in the middle of a season: plants that already stand in a dome, written down from one line of text."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.called import kept_as_words, near_names
from scionary.answers.words import day_words, listed, month_words, plural, read_whole
from scionary.book.called import names_of_book
from scionary.book.commands import GraftSetup, cultivar_called, noon, write_grafts
from scionary.book.models import Dome, Method, Nursery, RootstockLot
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import either, mark, say
from scionary.limits import LIMITS
from scionary.names import code_of

_EXAMPLE = mark("Write it like: 3 Red Tarn, 2 Ash Gill.")
_LINES = re.compile(r"[,;\n]|\s+and\s+", re.IGNORECASE)
_TIMES = r"[x×*]"
_NUMBER_FIRST = re.compile(rf"(?P<count>\d+)\s*(?:{_TIMES}\s+|×\s*)?\s*(?P<name>\D.*)")
_NUMBER_LAST = re.compile(rf"(?P<name>.*\D)\s*(?:\s{_TIMES}\s*|×\s*|:\s*|\s)(?P<count>\d+)")
_SURE = re.compile(rf"(?P<name>.+?)\s*(?::|×|\s{_TIMES}\s)\s*(?P<count>\d+)")
_LONGEST_NAME = 60
_WHEN = re.compile(r"(?:about\s+)?(?P<year>\d{4})(?:-(?P<month>\d{1,2})(?:-(?P<day>\d{1,2}))?)?", re.IGNORECASE)
_AGO = re.compile(r"(?:about\s+)?(?P<count>\d{1,3}|[a-z]{1,6})\s+(?P<unit>day|week|month)s?\s+ago", re.IGNORECASE)
_UNIT_DAYS = {"day": 1, "week": 7, "month": 30}


@dataclass(frozen=True)
class StandingLine:
    """So many plants of one cultivar."""

    cultivar: str
    count: int


@dataclass(frozen=True)
class Grafted:
    """When something was grafted, and how exactly that is known: to the day, the month or the year."""

    day: date
    precision: str = "day"
    roughly: bool = field(default=False, compare=False)  # how it was said

    @property
    def words(self) -> str:
        """21 October 2026, about 21 October 2026, October 2026 or 2026: as it was said."""
        if self.roughly or self.precision == "day":
            return say("about {day}", day=day_words(self.day)) if self.roughly else day_words(self.day)
        return month_words(self.day) if self.precision == "month" else f"{self.day.year}"


@dataclass(frozen=True)
class StandingPreview:
    """What one line would become; `perhaps` are names in the book that are spelt nearly alike."""

    cultivar: str
    count: int
    known: bool
    perhaps: tuple[str, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class StandingPlant:
    id: UUID
    spoken: str
    code: str
    place: int | None


@dataclass(frozen=True)
class StandingWritten:
    """The plants that were written down, the cultivars that were new to the book, and what was flagged."""

    plants: tuple[StandingPlant, ...]
    new_cultivars: tuple[str, ...]
    flags: tuple[str, ...]
    events: tuple[UUID, ...]
    words: str

    def to_dict(self) -> dict[str, Any]:
        plain = asdict(self)
        plain["plants"] = [{**entry, "id": str(entry["id"])} for entry in plain["plants"]]
        return plain | {"events": [str(ident) for ident in self.events]}


def read_standing(text: str) -> list[StandingLine]:
    """Read "3 Red Tarn, 2 Ash Gill": one cultivar a comma or line, its number before or behind; without a number it is one."""
    parts = [" ".join(part.split()) for part in _LINES.split(text)]
    lines = [_line(part, place) for place, part in enumerate(parts, start=1) if part]
    if not lines:
        raise Refused(say("nothing is named."), where="plants", remedy=_EXAMPLE)
    total = sum(line.count for line in lines)
    if total > LIMITS["batch_grafts"]:
        raise Refused(
            say("{total} plants at once.", total=total),
            where="plants",
            remedy=say("Write down at most {batch_grafts} in one go.", batch_grafts=LIMITS["batch_grafts"]),
        )
    return lines


def _line(part: str, place: int) -> StandingLine:
    where = say("plants, part {place} ({typed!r})", place=place, typed=part[:40])
    if re.search(r"(?<!\w)-\d|\d[.]\d", part):
        raise Refused(say("the number is no whole number above zero."), where=where, remedy=_EXAMPLE)
    found = _SURE.fullmatch(part)
    first, last = _NUMBER_FIRST.fullmatch(part), _NUMBER_LAST.fullmatch(part)
    if not found and first and last:
        raise Refused(say("two numbers: which is how many?"), where=where, remedy=say("Write the name, a colon and how many: No. 7: 3."))
    found = found or first or last
    name, count = (found["name"].strip(" :"), int(found["count"])) if found else (part, 1)
    if not any(letter.isalpha() for letter in name):
        raise Refused(say("no name is given."), where=where, remedy=_EXAMPLE)
    if len(name) > _LONGEST_NAME:
        raise Refused(
            say("the name has {name} characters.", name=len(name)),
            where=where,
            remedy=say("Give at most {longest_name}.", longest_name=_LONGEST_NAME),
        )
    if not 1 <= count <= LIMITS["batch_grafts"]:
        raise Refused(
            f"{count} plants.", where=where, remedy=say("Give a number from 1 to {batch_grafts}.", batch_grafts=LIMITS["batch_grafts"])
        )
    return StandingLine(name, count)


def read_when(text: str, *, today: date) -> Grafted:
    """Read a day (2026-06-14), a month (2026-06), a year (2026), or "5 weeks ago", which is taken as known to the month."""
    words = " ".join(text.split())
    ago = _AGO.fullmatch(words)
    count = read_whole(ago["count"]) if ago else None
    if ago and count is not None:
        exact = ago["unit"].lower() == "day" and not words.lower().startswith("about")
        day = today - timedelta(days=count * _UNIT_DAYS[ago["unit"].lower()])
        return Grafted(day, "day" if exact else "month", roughly=not exact)
    found = _WHEN.fullmatch(words)
    try:
        if found and found["day"]:
            roughly = words.lower().startswith("about")
            return Grafted(date(int(found["year"]), int(found["month"]), int(found["day"])), "month" if roughly else "day", roughly)
        if found and found["month"]:
            return Grafted(date(int(found["year"]), int(found["month"]), 15), "month")
        if found:
            return Grafted(date(int(found["year"]), 7, 1), "year")
    except ValueError:
        raise _no_day(text) from None
    raise _no_day(text)


def _no_day(text: str) -> Refused:
    remedy = say("Give a day (2026-06-14), a month (2026-06), a year (2026), or '5 weeks ago'.")
    return Refused(say("{typed!r} is no day that exists.", typed=text[:40]), where="grafted", remedy=remedy)


def preview_standing(lines: Sequence[StandingLine]) -> list[StandingPreview]:
    """What each line would become; nothing is written."""
    names = names_of_book()
    shown = []
    for line in lines:
        known = names.known(line.cultivar)
        name = known.kept if known else line.cultivar
        perhaps = () if known else near_names(line.cultivar, names)
        words = say("{plants} of {name}", plants=plural(line.count, "plant"), name=name)
        words += f". {kept_as_words(line.cultivar, name)}" if known and known.by_other_name else ""
        words += "" if known else say("; the book does not hold this cultivar yet, it will be added")
        words += say(". Did you mean {perhaps}?", perhaps=either(perhaps)) if perhaps else ""
        shown.append(StandingPreview(name, line.count, known is not None, perhaps, words))
    return shown


@patiently
def plants_already_standing(
    dome: UUID | None,
    lines: Sequence[StandingLine],
    *,
    grafted: Grafted,
    now: datetime,
    method: UUID | None = None,
    lot: UUID | None = None,
    stands: str = "",
    who: str = "",
    device: str = "",
    event_id: UUID | None = None,
) -> StandingWritten:
    """Write plants down that were grafted before the book knew of them, all or none; each gets its code and its place in the dome.

    With `event_id`, the id of the first plant's event, the same call again writes nothing.
    """
    if not lines:
        raise Refused(say("nothing is named."), where="plants", remedy=_EXAMPLE)
    _look_up(dome, method, lot)
    nursery = Nursery.objects.order_by("id")[0]
    happened_at = _moment(grafted, nursery, now)
    names = names_of_book()
    plants: list[StandingPlant] = []
    flags: set[str] = set()
    events: list[UUID] = []
    with transaction.atomic():
        for place, line in enumerate(lines):
            cultivar = cultivar_called(line.cultivar, now=now, who=who)
            setup = GraftSetup(cultivar.pk, happened_at, method=method, lot=lot, dome=dome, stands=stands, precision=grafted.precision)
            written = write_grafts(setup, line.count, now=now, who=who, device=device, event_id=None if place else event_id)
            if not written.plants:
                return StandingWritten((), (), (), (), say("These plants were written down already."))
            plants += [StandingPlant(p.id, p.spoken, code_of(p.code_number or 0), p.place) for p in written.plants]
            flags |= set(written.flags)
            events += written.events
    new = tuple(dict.fromkeys(line.cultivar for line in lines if names.known(line.cultivar) is None))
    words = say(
        "{plants} written down: {named}.",
        plants=plural(len(plants), "plant"),
        named=listed([f"{line.count} {names.kept(line.cultivar)}" for line in lines]),
    )
    return StandingWritten(tuple(plants), new, tuple(sorted(flags)), tuple(events), words)


def _look_up(dome: UUID | None, method: UUID | None, lot: UUID | None) -> None:
    for model, ident in ((Dome, dome), (Method, method), (RootstockLot, lot)):
        if ident is not None and not model._default_manager.filter(pk=ident).exists():
            raise UnknownSubject(
                say("the book holds no such {noun}.", noun=model.noun), where=model.noun, remedy=say("Choose one that is listed.")
            )


def _moment(grafted: Grafted, nursery: Nursery, now: datetime) -> datetime:
    """Noon of the day; the middle of a month or year that is still running is not put into the future."""
    moment = noon(grafted.day, nursery)
    return moment if grafted.precision == "day" else min(moment, now)
