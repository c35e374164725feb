"""Labels in photographs: every symbol that is read, with its plant and what must be said of it. No photo is kept."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from scionary.answers.find import FindAnswer, FoundPlant, find_codes
from scionary.answers.words import listed, plural
from scionary.book.models import Dome
from scionary.errors import BadFile, BadValue, Refused
from scionary.files.photos import read_photo, too_heavy
from scionary.language import mark, say
from scionary.limits import LIMITS
from scionary.names import grouped, number_of

_LONGEST_SHOWN = 80
TRY = (
    mark("Go nearer, until the label fills a good part of the picture."),
    mark("Turn so that neither sun nor lamp is mirrored in the label, and wipe it dry."),
    mark("Hold still until the camera is sharp, and keep the white border of the symbol in the picture."),
)


@dataclass(frozen=True)
class PhotoFile:
    """A file that was sent, its content not yet read."""

    name: str
    size: int
    read: Callable[[], bytes]


@dataclass(frozen=True)
class SeenLabel:
    """One symbol, however often it was seen: what it holds, and what the book says to that; None where it is no code."""

    text: str
    times: int
    answer: FindAnswer | None
    dome: UUID | None = None

    @property
    def code(self) -> str:
        """The code in two groups; empty where it is none."""
        return grouped(self.answer.text) if self.answer is not None else ""

    @property
    def plant(self) -> FoundPlant | None:
        return self.answer.plant if self.answer is not None else None

    @property
    def plants(self) -> tuple[FoundPlant, ...]:
        return self.answer.plants if self.answer is not None else ()

    @property
    def words(self) -> str:
        """What is said of it in a sentence."""
        if self.answer is None:
            return (
                say("{code}: the card of a dome.", code=self.text) if self.dome else say("“{text}” is no code of a plant.", text=self.text)
            )
        plant = self.plant
        if plant is None:
            return self.answer.words
        return " ".join(filter(None, [plant.warning, f"{plant.spoken}, {plant.state}."]))

    def to_dict(self) -> dict[str, Any]:
        found = {"text": self.text, "code": self.code, "times": self.times, "words": self.words, "dome": self.dome and str(self.dome)}
        return found | {"answer": self.answer.to_dict() if self.answer else None}


@dataclass(frozen=True)
class PhotoAnswer:
    """What was read in some photographs: how many symbols in each, the labels in reading order, and the photos that cannot be read."""

    photos: tuple[tuple[str, int], ...]
    labels: tuple[SeenLabel, ...]
    problems: tuple[BadFile, ...] = ()

    @property
    def plants(self) -> tuple[FoundPlant, ...]:
        """Every plant that a label belongs to, once."""
        return tuple({plant.id: plant for label in self.labels for plant in label.plants}.values())

    @property
    def words(self) -> str:
        """How much was read, and what does not lead to a plant."""
        without = [name for name, symbols in self.photos if not symbols]
        if not self.labels:
            return say("No label was found.") if without else say("No photo could be read.")
        codes = [label for label in self.labels if label.answer is not None]
        said = [say("{labels} read, {plants} found.", labels=plural(len(codes), "label"), plants=plural(len(self.plants), "plant"))]
        if len(codes) < len(self.labels):
            said.append(say("{symbols} beside them: no code of a plant.", symbols=plural(len(self.labels) - len(codes), "symbol")))
        if without:
            said.append(say("None in {without}.", without=listed(without)))
        return " ".join(said)

    @property
    def gone(self) -> tuple[FoundPlant, ...]:
        """Plants that are lost, sold or given away, and whose label is here all the same."""
        return tuple(plant for plant in self.plants if plant.steps)

    def to_dict(self) -> dict[str, Any]:
        plain = {"words": self.words, "labels": [label.to_dict() for label in self.labels]}
        photos = [{"name": name, "symbols": symbols} for name, symbols in self.photos]
        return plain | {"photos": photos, "problems": [str(problem) for problem in self.problems]}


def read_labels(files: Sequence[PhotoFile], *, closer: bool = True) -> PhotoAnswer:
    """Read the labels in some photographs; one that cannot be read is told beside the others."""
    check_count(len(files))
    photos, texts, problems = [], [], []
    for file in files:
        try:
            if refusal := too_heavy(file.size, file.name):
                raise refusal
            photo = read_photo(file.read(), file.name, closer=closer)
        except BadFile as problem:
            problems.append(problem)
            continue
        photos.append((photo.name, len(photo.symbols)))
        texts += [symbol.text for symbol in photo.symbols]
    return PhotoAnswer(tuple(photos), labels_of(texts), tuple(problems))


def labels_of(texts: Iterable[str]) -> tuple[SeenLabel, ...]:
    """What the book says to the texts of symbols, each text once, in the order in which they come."""
    times: dict[str, int] = {}
    for text in texts:
        times[text] = times.get(text, 0) + 1
    codes = [text for text in times if is_code(text)]
    answers = dict(zip(codes, find_codes(codes), strict=True)) if codes else {}
    names = [text for text in times if text not in answers and text.isprintable()]
    domes = dict(Dome.objects.filter(name__in=names).values_list("name", "id")) if names else {}
    return tuple(SeenLabel(_shown(text), count, answers.get(text), domes.get(text)) for text, count in times.items())


def check_count(count: int) -> None:
    """Refuse more photos than are read in one go."""
    most = LIMITS["photo_count"]
    if count > most:
        raise Refused(
            say("{count} photos at once.", count=count), where="photos", remedy=say("Send at most {most}, then the others.", most=most)
        )


def is_code(text: str) -> bool:
    """Whether a symbol's text is a code as labels hold it: whole, and nothing beside it."""
    try:
        number_of(text)
    except BadValue:
        return False
    return True


def _shown(text: str) -> str:
    """A stranger's text as it may be shown: no longer than a line, and without letters that cannot be seen."""
    seen = "".join(letter if letter.isprintable() else "\N{REPLACEMENT CHARACTER}" for letter in text[: _LONGEST_SHOWN + 1])
    return seen if len(seen) <= _LONGEST_SHOWN else f"{seen[: _LONGEST_SHOWN - 1]}…"
