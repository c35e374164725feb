"""Which plant has lost its label: the book's plants ranked by all that is still known, and what to look at next.

Nothing is decided here. The list says which plants to hold beside the one in the hand.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

from scionary.answers.find import DOME_PLACE, FoundPlant, found_plant
from scionary.answers.plant_columns import BookPlants, book_plants, place_words
from scionary.answers.words import listed, percent
from scionary.book import queries
from scionary.book.called import tidied
from scionary.book.chances import chance_words
from scionary.errors import BadValue, Refused
from scionary.language import Words, mark, say
from scionary.names import (
    BY_KEY,
    TRAIT,
    Candidate,
    CandidateKind,
    Evidence,
    FindingAssumptions,
    PlantIndex,
    known_traits,
    questions,
    rank_plants,
)

SHOWN = 8
LIKELY = 0.5
_ALIKE = 0.99
_ODDS = (
    (0.95, mark("almost certainly")),
    (0.8, mark("very likely")),
    (LIKELY, mark("more likely than not")),
    (0.2, mark("perhaps")),
    (0.05, mark("not likely")),
    (0.0, mark("hardly")),
)
_SPEAKS = 0.5  # bits: a field that makes a plant at least 1.4 times more or less likely is told; project default, unsourced
_FIELDS = {
    "code": ("code", mark("Look for any character of the code that can still be read")),
    "name": ("name", mark("Look for any letters of the name that can still be read")),
    "stands": ("where", mark("Say where it stands")),
    "pot_kind": ("pot", mark("Say what pot it is in")),
    "grafter": ("grafter", mark("Ask who grafted it")),
    "grafted_about": ("grafted", mark("Ask about when it was grafted")),
    "height_mm": ("height", mark("Measure how tall it is")),
}
_TYPED = ("code", "name", "where", "pot", "grafter")
_FIELD_WORDS = Words(
    {
        "code": mark("code"),
        "name": mark("name"),
        "stands": mark("where it stands"),
        "pot_kind": mark("pot"),
        "grafter": mark("who grafted it"),
        "grafted_about": mark("when it was grafted"),
        "height_mm": mark("height"),
        "looks": mark("what it looks like"),
    }
)
_UNKNOWN = {
    "place": mark("The book knows no place called {asked!r}"),
    "pot": mark("The book knows no pot called {asked!r}"),
    "grafter": mark("The book knows no grafter called {asked!r}"),
}
LOOK = "look_"
"""Stands before a trait where it is a field of a form."""


@dataclass(frozen=True)
class Remembered:
    """What is still known of a plant without its label, as a person types it; what is empty says nothing."""

    code: str = ""
    name: str = ""  # parts of the name, between commas
    where: str = ""
    pot: str = ""
    grafter: str = ""
    grafted: date | None = None
    within_days: float = 30.0
    height_mm: float | None = None
    looks: Mapping[str, str] = field(default_factory=dict)  # trait and answer, as `names` knows them

    @property
    def given(self) -> bool:
        """Whether anything is known at all."""
        texts = (self.code, self.name, self.where, self.pot, self.grafter)
        return any(text.strip() for text in texts) or self.grafted is not None or self.height_mm is not None or bool(self.looks)


@dataclass(frozen=True)
class NamelessLine:
    """A line of the list: a plant, "none of these", or all others together, with its chance in numbers and words."""

    kind: str
    chance: float
    number: str
    odds: str
    plant: FoundPlant | None = None
    why: str = ""

    def to_dict(self) -> dict[str, Any]:
        return asdict(self) | {"plant": self.plant.to_dict() if self.plant else None}


@dataclass(frozen=True)
class NextLook:
    """What would narrow the list most: the field of `Remembered`, in words, and how far in bits."""

    field: str
    words: str
    bits: float


@dataclass(frozen=True)
class NamelessAnswer:
    """The ranked plants; `notes` say what was typed but could not be weighed."""

    sentence: str
    lines: tuple[NamelessLine, ...]
    next: NextLook | None
    notes: tuple[str, ...]
    assumptions: tuple[str, ...]
    plants: int

    def to_dict(self) -> dict[str, Any]:
        return asdict(self) | {"lines": [line.to_dict() for line in self.lines]}


def nameless(known: Remembered, *, at_most: int = SHOWN) -> NamelessAnswer:
    """Rank the book's plants by the chance that each is the one described."""
    typed: dict[str, Any] = {name: tidied(getattr(known, name)) for name in _TYPED}
    book, known = book_plants(), replace(known, **typed)
    index, evidence, notes = _weighed(known, book)
    if not any(getattr(evidence, name) for name in (*_FIELDS, "traits")):
        return NamelessAnswer(_too_little(book), (), _next(known, evidence, index), tuple(notes), _assumptions(), len(book.ids))
    try:
        found = rank_plants(evidence, index, at_most=at_most)
    except BadValue as wrong:
        if wrong.name == "code":
            raise Refused(say("{code!r} is no code.", code=known.code), where="code", remedy=wrong.allowed) from None
        raise
    lines = _lines(found, book)
    return NamelessAnswer(_sentence(lines), lines, _next(known, evidence, index), tuple(notes), _assumptions(), len(book.ids))


def choices() -> dict[str, list[str]]:
    """What the book knows of places, pots, grafters and looks, for a form to offer."""
    index = book_plants().by_dome
    names = {"where": "stands", "pot": "pot_kind", "grafter": "grafter"}
    known = {name: list(index.columns[column].values) for name, column in names.items()}
    return known | {"looks": [key for key in BY_KEY if key in index.traits]}


def _weighed(known: Remembered, book: BookPlants) -> tuple[PlantIndex, Evidence, list[str]]:
    """What is typed, in the book's words; what the book does not know is left out and said."""
    notes: list[str] = []
    parts, number = _parts(known.name)
    if number:
        notes.append(say("The number {number} of the name is not weighed: search for it under Plants.", number=number))
    index, stands = _where(known.where, book, notes)
    columns = book.by_dome.columns
    evidence = Evidence(
        code=known.code.strip() or None,
        name=parts,
        stands=stands,
        pot_kind=_meant("pot", known.pot, columns["pot_kind"].values, notes),
        grafter=_meant("grafter", known.grafter, columns["grafter"].values, notes),
        grafted_about=known.grafted,
        grafted_within_days=known.within_days,
        height_mm=known.height_mm,
        traits=_looks(known.looks, index, notes),
    )
    return index, evidence, notes


def _looks(seen: Mapping[str, str], index: PlantIndex, notes: list[str]) -> dict[str, str]:
    """The traits that some cultivar's table holds; the others are said to weigh nothing."""
    told = known_traits(seen)
    unknown = listed([say(BY_KEY[key].words) for key in told if key not in index.traits])
    if unknown:
        notes.append(say("No cultivar's page says its {unknown} yet, so that is not weighed.", unknown=unknown))
    return {key: value for key, value in told.items() if key in index.traits}


def _parts(name: str) -> tuple[tuple[str, ...], str]:
    """Parts of a name between commas, and the running number behind it."""
    without = re.fullmatch(r"(?P<name>.*?)\s*\b(?P<number>\d+)?\s*", name.strip(), re.DOTALL)
    text, number = (without["name"], without["number"] or "") if without else (name, "")
    return tuple(part.strip() for part in text.split(",") if any(letter.isalpha() for letter in part)), number


def _where(typed: str, book: BookPlants, notes: list[str]) -> tuple[PlantIndex, str | None]:
    """The place as the book says it, and the index that tells places as finely as it was typed."""
    asked = " ".join(typed.split())
    domes, places = book.by_dome.columns["stands"].values, book.by_place.columns["stands"].values
    split = DOME_PLACE.fullmatch(asked)
    dome = _same(split["dome"], domes) if split and not _same(asked, domes) else None
    if not split or not dome:
        return book.by_dome, _meant("place", asked, domes, notes)
    place = place_words(dome, int(split["place"]))
    if place in places:
        return book.by_place, place
    notes.append(say("By the book nothing stands at {place}; {dome} alone is weighed.", place=place, dome=dome))
    return book.by_dome, dome


def _meant(what: str, typed: str, known: Sequence[str], notes: list[str]) -> str | None:
    """The book's own word for what was typed, or the only one that holds it."""
    asked = " ".join(typed.split())
    if not asked:
        return None
    holding = [each for each in known if asked.casefold() in each.casefold()]
    found = _same(asked, known) or (holding[0] if len(holding) == 1 else None)
    if found is None:
        offered = say(" It knows {known}.", known=listed(known)) if known else ""
        notes.append(say("{nothing}, so that is not weighed.{offered}", nothing=say(_UNKNOWN[what], asked=asked), offered=offered))
    return found


def _same(typed: str, known: Sequence[str]) -> str | None:
    return next((each for each in known if each.casefold() == typed.casefold()), None)


def _lines(found: Sequence[Candidate], book: BookPlants) -> tuple[NamelessLine, ...]:
    ids = [book.ids[one.plant] for one in found if one.plant is not None]
    zone = queries.nursery().zone
    plants: dict[UUID, FoundPlant] = {plant.id: found_plant(plant, zone) for plant in queries.plants().filter(pk__in=ids)}
    lines = []
    for one in found:
        plant = plants.get(book.ids[one.plant]) if one.plant is not None else None
        lines.append(NamelessLine(str(one.kind), one.probability, chance_words(one.probability), _odds(one.probability), plant, _why(one)))
    return tuple(lines)


def _odds(chance: float) -> str:
    return say(next(words for least, words in _ODDS if chance >= least))


def _why(one: Candidate) -> str:
    """Which fields speak for a plant and which against it."""
    speak = sorted(one.weights.items(), key=lambda item: -abs(item[1]))
    sides = {
        say("for it"): [_FIELD_WORDS[name] for name, bits in speak if bits >= _SPEAKS],
        say("against it"): [_FIELD_WORDS[name] for name, bits in speak if bits <= -_SPEAKS],
    }
    return "; ".join(f"{side}: {', '.join(names)}" for side, names in sides.items() if names)


def _sentence(lines: Sequence[NamelessLine]) -> str:
    listed_ones = [line for line in lines if line.kind != CandidateKind.OTHERS]
    first = listed_ones[0]
    if first.kind == CandidateKind.NONE and first.chance >= LIKELY:
        return say("It is {odds} none of the plants in the book: {number}.", odds=first.odds, number=first.number)
    best = next((line for line in listed_ones if line.plant is not None), None)
    if best is None or best.plant is None:
        return say("The book holds no plant that it could be.")
    if best.chance >= LIKELY:
        return say("It is {odds} {spoken}: {number}.", odds=best.odds, spoken=best.plant.spoken, number=best.number)
    alike = [line for line in listed_ones if line.plant is not None and line.chance > best.chance * _ALIKE]
    if len(alike) > 1:
        return say(
            "No plant stands out yet; {spoken} and others are equally likely: {number} each.", spoken=best.plant.spoken, number=best.number
        )
    return say("No plant stands out yet; the likeliest is {spoken}: {number}.", spoken=best.plant.spoken, number=best.number)


def _too_little(book: BookPlants) -> str:
    return say("Say one thing that is known of it, then the plants are ranked.") if book.ids else say("The book holds no plants yet.")


def _next(known: Remembered, evidence: Evidence, index: PlantIndex) -> NextLook | None:
    """The most telling field that was not typed yet."""
    if not len(index):
        return None
    for question in questions(evidence, index):
        name, words = _asked(question.field)
        if name and not _typed(known, name) and question.bits > 0.0:
            return NextLook(name, say("{look}: that is expected to narrow it most.", look=say(words)), question.bits)
    return None


def _asked(question: str) -> tuple[str, str]:
    """The field of the form that a question is about, and how it is asked."""
    if question.startswith(TRAIT):
        key = question.removeprefix(TRAIT)
        return f"{LOOK}{key}", BY_KEY[key].look
    return _FIELDS.get(question, ("", ""))


def _typed(known: Remembered, name: str) -> bool:
    if name.startswith(LOOK):
        return name.removeprefix(LOOK) in known.looks
    return bool(getattr(known, "height_mm" if name == "height" else name))


def _assumptions() -> tuple[str, ...]:
    assumed = FindingAssumptions()
    return (
        say(
            "{none_of_these} that it is none of the book's plants, before anything is known (project default, unsourced)",
            none_of_these=percent(assumed.none_of_these),
        ),
        say(
            "a plant recorded as missing counts {missing:g} times, one recorded as lost, sold or given away "
            "1/{gone:.0f} (project default, unsourced)",
            missing=assumed.missing,
            gone=1 / assumed.gone,
        ),
        say(
            "{code_character} that a character which can be read is read right (project default, unsourced)",
            code_character=percent(assumed.code_character),
        ),
        say("{stands} that it stands where the book says (project default, unsourced)", stands=percent(assumed.stands)),
        say(
            "{trait_seen} that one says of its looks what is written of its cultivar, and {misleading_look} that "
            "the whole look misleads (project default, unsourced)",
            trait_seen=percent(assumed.trait_seen),
            misleading_look=percent(assumed.misleading_look),
        ),
        say("what is known counts piece by piece, as if each came from its own source; above 90 % that is told about two points too high"),
    )
