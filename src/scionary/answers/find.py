"""Which plant is this: by the code on its label, faded or not, or by the name or place that a person says; a bag of scions too."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from enum import StrEnum
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import F, QuerySet

from scionary.answers.bags import FoundBag, bags_with_codes, find_bag
from scionary.answers.called import called
from scionary.answers.found_otherwise import by_other_name, kept_words, parted
from scionary.answers.leaving import left_words
from scionary.answers.words import plural, short_day
from scionary.book import queries
from scionary.book.called import tidied
from scionary.book.models import CodeLease, Dome, Plant
from scionary.errors import Refused
from scionary.language import either, mark, say
from scionary.limits import LIMITS
from scionary.names import CodeReading, CodeStatus, code_of, number_of, read_code

_LONGEST = 200
_JOINERS = dict.fromkeys(map(ord, "\u200c\u200d"))  # not seen either, but part of names in some scripts; of no code
_NUMBER_SIGN = re.compile(r"(?:^|(?<=\s))#\s*(?=\d+$)")
DOME_PLACE = re.compile(r"(?P<dome>.+?)[\s,]+(?:place\s+|#)?(?P<place>\d{1,5})", re.IGNORECASE)


class Found(StrEnum):
    """How far the answer can be relied on."""

    EXACT = "exact"  # one plant, read in full
    RECOVERED = "recovered"  # one plant; lost characters followed from the rest
    SUSPECT = "suspect"  # offered for a person to confirm, never accepted
    SEVERAL = "several"  # more than one plant fits
    NOBODY = "nobody"  # no plant fits


@dataclass(frozen=True)
class FoundPlant:
    """A plant as an answer shows it; `warning` is what must be said aloud before anyone relies on it."""

    id: UUID
    spoken: str
    code: str
    state: str
    where: str
    name_status: str
    warning: str
    flags: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()  # what to do with a label whose plant is gone
    cautions: tuple[str, ...] = ()  # what must stand beside its name

    def to_dict(self) -> dict[str, Any]:
        return asdict(self) | {"id": str(self.id)}


@dataclass(frozen=True)
class FindAnswer:
    """What was asked, how it was read ("code" or "name"), and the plants that fit; `total` counts those not shown too."""

    text: str
    status: Found
    by: str
    words: str
    plants: tuple[FoundPlant, ...]
    total: int
    perhaps: tuple[str, ...] = ()  # what to ask for instead: near names, with the number that was typed
    kept_as: str = ""  # what is said where a cultivar was called by another name
    bag: FoundBag | None = None  # the bag of scions that it is, where it is no plant

    @property
    def in_full(self) -> bool:
        """Whether the text was one plant's own code or whole name, so that its caution must be read at once."""
        if self.plant is None:
            return False
        return self.by == "code" or bool(self.kept_as) or self.text.casefold() == self.plant.spoken.casefold()

    @property
    def steps(self) -> tuple[str, ...]:
        """What to do, where a code was read that belongs to a plant which is gone: the label may hang on another one."""
        return self.plant.steps if self.plant is not None and self.by == "code" else ()

    @property
    def plant(self) -> FoundPlant | None:
        """The one plant, where the answer is sure enough to act on."""
        return self.plants[0] if self.plants and self.status in (Found.EXACT, Found.RECOVERED) else None

    def to_dict(self) -> dict[str, Any]:
        plain = {"text": self.text, "status": str(self.status), "by": self.by, "words": self.words, "total": self.total}
        plain |= {"kept_as": self.kept_as, "bag": self.bag.to_dict() if self.bag else None}
        plain |= {"perhaps": list(self.perhaps), "steps": list(self.steps)}
        return plain | {"plants": [plant.to_dict() for plant in self.plants]}


def find(text: str) -> FindAnswer:
    """Find a plant by a code, with ? for what cannot be read, or by what a person says: "Red Tarn 12", "Dome 2 place 5"."""
    asked = tidied(text[:_LONGEST])
    if not asked:
        raise Refused(say("nothing is typed."), where="find", remedy=say("Type a code, or a name such as Red Tarn 12."))
    nursery = queries.nursery()
    zone = nursery.zone
    by_name = _by_name(asked)
    names = by_name.count() if by_name is not None else 0
    reading = _read(asked, look_at_all=not names)
    by_code = _plants_of(reading)
    if not by_code and not names and (bag := find_bag(asked, nursery)):
        return _bag_answer(asked, bag)
    if by_code and not names:
        return _code_answer(asked, reading, by_code, zone)
    if by_code:
        return _both(asked, by_code, by_name, names, zone)
    if names and by_name is not None:
        answer = _name_answer(asked, by_name, names, zone)
        kept = kept_words(asked, answer.plants)
        return replace(answer, kept_as=kept, words=f"{kept}. {answer.words}") if kept else answer
    if reading.status is not CodeStatus.REFUSED or "?" in asked:
        return FindAnswer(asked, Found.NOBODY, "code", _no_plant_has(reading), (), 0, _perhaps(asked))
    perhaps = _perhaps(asked)
    return FindAnswer(asked, Found.NOBODY, "name", _no_such_name(asked, perhaps, reading), (), 0, perhaps)


def find_codes(codes: Sequence[str]) -> list[FindAnswer]:
    """The plant of each whole code, as a symbol carries it: by the code alone, never by a name."""
    nursery, held = queries.nursery(), defaultdict(list)
    for plant in queries.plants().filter(code_number__in=[number_of(code) for code in codes]).order_by("code_number", "id"):
        held[plant.code_number or 0].append(plant)
    readings = [(code, read_code(code, set(held)), held.get(number_of(code), [])) for code in codes]
    bags = bags_with_codes([code for code, _, plants in readings if not plants], nursery)
    return [
        _code_answer(code, reading, plants, nursery.zone)
        if plants
        else _bag_answer(code, bags[code])
        if code in bags
        else FindAnswer(code, Found.NOBODY, "code", _no_plant_has(reading), (), 0)
        for code, reading, plants in readings
    ]


def _bag_answer(asked: str, bag: FoundBag) -> FindAnswer:
    return FindAnswer(asked, Found.EXACT, "name" if asked.casefold() == bag.name.casefold() else "code", bag.words, (), 0, bag=bag)


def _perhaps(asked: str) -> tuple[str, ...]:
    """Near names of cultivars, each with the number that was typed; a name kept under another one too, where it has no such plant."""
    name, number = parted(asked)
    found = called(name)
    near = found.near or ((found.kept,) if found.words and number else ())
    return tuple(f"{each} {number if found.near else ''}".strip() for each in near)


def _read(asked: str, *, look_at_all: bool) -> CodeReading:
    """Read a code against the numbers that plants have, asking the book only for those that matter."""
    asked = asked.translate(_JOINERS)
    alone = read_code(asked)
    if alone.status is not CodeStatus.REFUSED:
        numbers = [number_of(code) for code in alone.candidates]
        return read_code(asked, _numbers_of(Plant.objects.filter(code_number__in=numbers)))
    if "?" in asked or look_at_all:
        return read_code(asked, _numbers_of(Plant.objects.all()))
    return alone


def _numbers_of(plants: QuerySet[Plant]) -> set[int]:
    return {number for number in plants.values_list("code_number", flat=True) if number is not None}


def _plants_of(reading: CodeReading) -> list[Plant]:
    if reading.issued is not True:
        return []
    numbers = [number_of(code) for code in reading.candidates]
    return list(queries.plants().filter(code_number__in=numbers).order_by("code_number", "id"))


def _code_answer(asked: str, reading: CodeReading, plants: list[Plant], zone: ZoneInfo) -> FindAnswer:
    shown = tuple(found_plant(plant, zone) for plant in plants)
    if reading.status is CodeStatus.SUSPECT:
        return FindAnswer(asked, Found.SUSPECT, "code", reading.words, shown, len(shown))
    if len(shown) > 1:
        words = say(
            "{reading} {shown} plants carry this code, which must not be: look at each, and give all but one a new code.",
            reading=reading.words,
            shown=len(shown),
        )
        return FindAnswer(asked, Found.SEVERAL, "code", words, shown, len(shown))
    status = Found.EXACT if reading.status is CodeStatus.EXACT else Found.RECOVERED
    words = f"{shown[0].warning} {reading.words}" if shown[0].warning else reading.words
    return FindAnswer(asked, status, "code", words, shown, 1)


def _both(asked: str, by_code: list[Plant], by_name: QuerySet[Plant] | None, names: int, zone: ZoneInfo) -> FindAnswer:
    """A text that can be read as a code and as a name: all that fit, for a person to choose."""
    listed = list(by_name[: LIMITS["page_rows"]]) if by_name is not None else []
    plants = {plant.id: plant for plant in [*by_code, *listed]}
    words = say("This can be read as a code and as a name; both are shown.")
    extra = len([plant for plant in by_code if plant.id not in {other.id for other in listed}])
    return FindAnswer(asked, Found.SEVERAL, "name", words, tuple(found_plant(plant, zone) for plant in plants.values()), names + extra)


def _by_name(asked: str) -> QuerySet[Plant] | None:
    """Plants by spoken name, place or dome; None when nothing in the text can be one."""
    if not any(letter.isalnum() for letter in asked) or "?" in asked:
        return None
    place = DOME_PLACE.fullmatch(asked)
    dome = Dome.objects.filter(name__iexact=asked).first()
    if dome is not None:
        return queries.plants_in(dome)
    if place and (dome := Dome.objects.filter(name__iexact=place["dome"]).first()):
        return queries.plants_in(dome).filter(place=int(place["place"]))
    if asked.isascii() and asked.isdigit():
        return queries.plants().filter(running_number=int(asked)) if len(asked) <= 6 else None
    exact = queries.plants().filter(cultivar__spoken__iexact=asked)
    if exact.exists():
        return exact
    other = by_other_name(asked)
    found = other if other is not None else queries.find_spoken(asked)
    plainer = _NUMBER_SIGN.sub("", asked)  # Red Tarn #48 is Red Tarn 48, unless a place is called so
    return _by_name(plainer) if plainer != asked and not found.exists() else found


def _name_answer(asked: str, found: QuerySet[Plant], total: int, zone: ZoneInfo) -> FindAnswer:
    shown = tuple(found_plant(plant, zone) for plant in found[: LIMITS["page_rows"]])
    if total == 1:
        words = f"{shown[0].spoken}, {shown[0].state}."
        words = f"{shown[0].warning} {words}" if shown[0].warning else words
        return FindAnswer(asked, Found.EXACT, "name", words, shown, 1)
    text = mark("{plants} fit; the first {shown} are shown.") if total > len(shown) else mark("{plants} fit.")
    words = say(text, plants=plural(total, "plant"), shown=len(shown))
    return FindAnswer(asked, Found.SEVERAL, "name", words, shown, total)


def _no_plant_has(reading: CodeReading) -> str:
    if reading.code is None:
        return reading.words
    number = number_of(reading.code)
    lease = CodeLease.objects.select_related("device").filter(first__lte=number, first__gt=number - F("count")).first()
    if lease is None:
        return say("{reading} It was never issued by this book: is the label from another nursery?", reading=reading.words)
    return say(
        "{reading} Its number belongs to a block set aside for {name}: perhaps a label printed ahead of the "
        "bench day, or a device that has not sent its records yet.",
        reading=reading.words,
        name=say(lease.device.name),
    )


def _no_such_name(asked: str, near: tuple[str, ...], reading: CodeReading) -> str:
    if near:
        return say("No plant is called {asked!r}. Did you mean {near}?", asked=asked, near=either(near))
    return say("No plant, place or dome is called {asked!r}, and it is no code either. {reading}", asked=asked, reading=reading.words)


def found_plant(plant: Plant, zone: ZoneInfo) -> FoundPlant:
    return FoundPlant(
        id=plant.id,
        spoken=plant.spoken,
        code=code_of(plant.code_number) if plant.code_number is not None else "",
        state=plant.get_state_display(),
        where=left_words(plant, zone) or _where(plant),
        name_status=plant.name_words,
        warning=_warning(plant, zone),
        flags=tuple(dict.fromkeys([*plant.cautions, *map(say, plant.flags)])),
        steps=_steps(plant),
        cautions=tuple(plant.cautions),
    )


def _where(plant: Plant) -> str:
    if plant.dome is not None:
        return say("{dome}, place {place}", dome=plant.dome.name, place=plant.place) if plant.place else plant.dome.name
    return plant.stands or say("not written down")


_HAS_LEFT = {
    "sale": mark("CAUTION: {plant} was sold{since}. A plant here with this label may be another one."),
    "gift": mark("CAUTION: {plant} was given away{since}. A plant here with this label may be another one."),
}


def _warning(plant: Plant, zone: ZoneInfo) -> str:
    since = say(" on {date}", date=short_day(plant.state_since.astimezone(zone).date())) if plant.state_since else ""
    if plant.state == Plant.State.DEAD:
        return say(
            "CAUTION: {plant} was recorded as lost{since}. A living plant with this label may be another one.",
            plant=plant.spoken,
            since=since,
        )
    if plant.state == Plant.State.LEFT:
        text = _HAS_LEFT.get(plant.left_how, mark("CAUTION: {plant} left{since}. A plant here with this label may be another one."))
        return say(text, plant=plant.spoken, since=since)
    if plant.state == Plant.State.MISSING:
        return say("{plant} was recorded as missing{since}; if this is it, record it as found.", plant=plant.spoken, since=since)
    return ""


def _steps(plant: Plant) -> tuple[str, ...]:
    """First whether it is that plant after all; then a label of its own for another one. None for a plant that is still here."""
    if plant.state not in (Plant.State.DEAD, Plant.State.LEFT):
        return ()
    back = (
        say("undo its leaving in its story")
        if plant.state == Plant.State.LEFT
        else say("score on its page what you see, and it counts as alive")
    )
    return (
        say("Look whether this is {plant} after all: hold it beside its story. If it is, {back}.", plant=plant.spoken, back=back),
        say(
            "If it is another plant, take this label off: its code means {plant} for ever. Find the plant by "
            "what is still known of it or write it down, and print its own label.",
            plant=plant.spoken,
        ),
    )
