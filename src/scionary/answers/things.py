"""Things by their keys: what they are called, where their page is, and which of them a person means."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID
from zoneinfo import ZoneInfo

from scionary.answers.blade_sessions import session_words
from scionary.answers.dome_fillings import filling_words
from scionary.answers.find import find
from scionary.book.locks import chunks
from scionary.book.models import BenchDay, Dome, Event, MotherTree, Noun, Plant, RootstockLot, ScionBag
from scionary.errors import Refused, UnknownSubject

_NOUNS: dict[str, type[Noun]] = {"tree": MotherTree, "bag": ScionBag, "lot": RootstockLot, "bench": BenchDay, "dome": Dome}
_NAMED = ("tree", "bag", "lot", "dome")  # nouns that a person calls by a name
_PAGES = {
    "plant": "/plants/{}/",
    "tree": "/book/trees/{}/",
    "bag": "/bench/yard/bags/{}/",
    "lot": "/book/lots/{}/",
    "bench": "/bench/{}/",
    "dome": "/domes/{}/",
}
_CALLED = {"tree": "{}", "bag": "{}, a bag of scions", "lot": "stock lot {}", "bench": "the {}", "dome": "{}"}
NOUN_WORDS = {
    "plant": "plant",
    "tree": "mother tree",
    "bag": "scion bag",
    "lot": "stock lot",
    "blade": "blade session",
    "cover": "filling of a dome",
    "treatment": "treatment",
    "bench": "bench day",
}


@dataclass(frozen=True)
class Thing:
    """Something that plants can share, or a plant; `address` is empty where it has no page."""

    key: str
    words: str
    address: str = ""
    plant: Plant | None = None
    nameless: bool = False  # the book holds nothing of this key

    @property
    def noun(self) -> str:
        return self.key.split(":")[0]


def things(keys: Iterable[str], zone: ZoneInfo) -> dict[str, Thing]:
    """What these keys mean, in few queries; a plant whose graft is undone is told as such."""
    by_noun: dict[str, list[str]] = defaultdict(list)
    for key in keys:
        by_noun[key.split(":")[0]].append(key)
    found = {key: Thing(key, _spoken_of_itself(key, zone)) for noun in ("blade", "cover") for key in by_noun.pop(noun, ())}
    for key in by_noun.pop("treatment", ()):
        found[key] = Thing(key, _treatment_words(key, zone))
    for key in by_noun.pop("plant", ()):
        found[key] = Thing(key, "a plant whose graft was undone", nameless=True)
    plants = [key for key in found if key.startswith("plant:")]
    for chunk in chunks(UUID(key[6:]) for key in plants):
        for plant in Plant.objects.select_related("cultivar", "dome").filter(pk__in=chunk):
            key = f"plant:{plant.pk.hex}"
            found[key] = Thing(key, plant.spoken, _PAGES["plant"].format(plant.pk), plant)
    for noun, listed in by_noun.items():
        found |= _nouns(noun, listed)
    return found


def _nouns(noun: str, keys: list[str]) -> dict[str, Thing]:
    idents = {UUID(key.partition(":")[2]): key for key in keys}
    rows: Mapping[UUID, Noun] = {}
    for chunk in chunks(idents):
        rows = {**rows, **_NOUNS[noun]._default_manager.in_bulk(chunk)}
    page = _PAGES.get(noun, "")
    return {
        key: Thing(key, _CALLED[noun].format(rows[ident]), page.format(ident))
        if ident in rows
        else Thing(key, f"a {NOUN_WORDS.get(noun, noun)}", nameless=True)
        for ident, key in idents.items()
    }


def _spoken_of_itself(key: str, zone: ZoneInfo) -> str:
    return session_words(key) if key.startswith("blade:") else filling_words(key, zone)


def _treatment_words(key: str, zone: ZoneInfo) -> str:
    event = Event.objects.filter(pk=UUID(key.partition(":")[2])).first()
    if event is None:
        return "a treatment"
    day = event.happened_at.astimezone(zone)
    product = event.payload.get("product", "")
    return f"the treatment{f' with {product}' if product else ''} of {day.day} {day:%B %Y}"


def checked_key(text: str) -> str:
    """A key out of an address in its one spelling.

    Raises `UnknownSubject` where it names nothing that can be asked for.
    """
    noun, _, rest = text.partition(":")
    if noun in ("blade", "cover") and rest:
        return text[:200]
    if noun in (*_NOUNS, "plant", "treatment"):
        try:
            return f"{noun}:{UUID(rest).hex}"
        except ValueError:
            pass
    raise UnknownSubject(f"{text[:60]!r} names nothing in the book.", where="from", remedy="Start from the page of a plant or tree.")


def thing_called(text: str) -> str:
    """The key of what a person types: a plant's code or name and number, or the name of a mother tree, bag, stock lot or dome.

    Raises `Refused` where it fits nothing, or several.
    """
    named = " ".join(text.split())
    rows = [(noun, row) for noun in _NAMED for row in _NOUNS[noun]._default_manager.all() if str(row).casefold() == named.casefold()]
    if len(rows) == 1:
        return f"{rows[0][0]}:{rows[0][1].pk.hex}"
    answer = find(text)
    if not rows and answer.plant is not None:
        return f"plant:{answer.plant.id.hex}"
    if not rows and answer.bag is not None:
        return f"bag:{answer.bag.id.hex}"
    fitting = [f"{noun} {row}" for noun, row in rows] or [plant.spoken for plant in answer.plants[:6]]
    said = f"it fits several: {', '.join(fitting)}." if fitting else answer.words
    raise Refused(said, where=text[:60], remedy="Give a plant's code, or the full name of a mother tree, bag, stock lot or dome.")
