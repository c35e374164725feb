"""Things by their keys: what they are called, where their page is, and which of them a person means."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID
from zoneinfo import ZoneInfo

from scionary.answers.blade_sessions import is_session, session_words
from scionary.answers.dome_fillings import filling_words, is_filling
from scionary.answers.find import find
from scionary.answers.words import day_words, listed
from scionary.book.kinds import plain
from scionary.book.locks import chunks
from scionary.book.models import BenchDay, Dome, Event, MotherTree, Noun, Plant, RootstockLot, ScionBag
from scionary.errors import Refused, UnknownSubject
from scionary.language import Words, forms, mark, say

_NOUNS: dict[str, type[Noun]] = {"tree": MotherTree, "bag": ScionBag, "lot": RootstockLot, "bench": BenchDay, "dome": Dome}
_LONGEST_KEY = 120
_NAMED = ("tree", "bag", "lot", "dome")  # nouns that a person calls by a name
_PAGES = {
    "plant": "/plants/{}/",
    "tree": "/book/trees/{}/",
    "bag": "/bench/yard/bags/{}/",
    "lot": "/book/lots/{}/",
    "bench": "/bench/{}/",
    "dome": "/domes/{}/",
}
_CALLED = Words({"tree": "{}", "bag": mark("{}, a bag of scions"), "lot": mark("stock lot {}"), "bench": mark("the {}"), "dome": "{}"})
NOUN_WORDS = Words(
    {
        "plant": mark("plant"),
        "tree": mark("mother tree"),
        "bag": mark("scion bag"),
        "lot": mark("stock lot"),
        "blade": mark("blade session"),
        "cover": mark("filling of a dome"),
        "treatment": mark("treatment"),
        "bench": mark("bench day"),
    }
)
NOUN_FORMS = {
    "tree": forms("mother tree", "mother trees"),
    "bag": forms("scion bag", "scion bags"),
    "lot": forms("stock lot", "stock lots"),
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
    found = {key: Thing(key, session_words(key)) for key in by_noun.pop("blade", ())}
    covers = by_noun.pop("cover", [])
    names = dict(Dome.objects.filter(pk__in={UUID(key.split(":")[1]) for key in covers}).values_list("pk", "name"))
    found |= {key: Thing(key, filling_words(key, names, zone)) for key in covers}
    found |= _treatments(by_noun.pop("treatment", []), zone)
    for key in by_noun.pop("plant", ()):
        found[key] = Thing(key, say("a plant whose graft was undone"), nameless=True)
    plants = [key for key in found if key.startswith("plant:")]
    for chunk in chunks(UUID(key[6:]) for key in plants):
        for plant in Plant.objects.select_related("cultivar", "dome").filter(pk__in=chunk):
            key = f"plant:{plant.pk.hex}"
            found[key] = Thing(key, plant.spoken, _PAGES["plant"].format(plant.pk), plant)
    for noun, rest in by_noun.items():
        found |= _nouns(noun, rest)
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
        else Thing(key, say("a {thing}", thing=NOUN_WORDS.get(noun, noun)), nameless=True)
        for ident, key in idents.items()
    }


def _treatments(keys: list[str], zone: ZoneInfo) -> dict[str, Thing]:
    events = Event.objects.in_bulk([UUID(key.partition(":")[2]) for key in keys])
    found = {}
    for key in keys:
        event = events.get(UUID(key.partition(":")[2]))
        if event is None:
            found[key] = Thing(key, say("a treatment"), nameless=True)
            continue
        day, product = day_words(event.happened_at.astimezone(zone)), event.payload.get("product", "")
        told = say("the treatment with {product} of {day}", product=product, day=day) if product else say("the treatment of {day}", day=day)
        found[key] = Thing(key, told)
    return found


def checked_key(text: str) -> str:
    """A key out of an address in its one spelling.

    Raises `UnknownSubject` where it names nothing that can be asked for.
    """
    noun, _, rest = text.partition(":")
    if len(text) <= _LONGEST_KEY and ((noun == "blade" and is_session(text)) or (noun == "cover" and is_filling(text))):
        return text
    if noun in (*_NOUNS, "plant", "treatment"):
        try:
            return f"{noun}:{UUID(rest).hex}"
        except ValueError:
            pass
    raise UnknownSubject(
        say("{typed!r} names nothing in the book.", typed=text[:60]), where="from", remedy=say("Start from the page of a plant or tree.")
    )


def _bench_of_day(text: str) -> str | None:
    """The bench day of a date, 2026-11-22; None where the text is no date.

    Raises `Refused` where there is none, or several.
    """
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return None
    found = list(BenchDay.objects.filter(day=day).select_related("cultivar"))
    if len(found) == 1:
        return f"bench:{found[0].pk.hex}"
    told = listed([_bench_words(bench) for bench in found])
    said = (
        say("there are {found} bench days of that date: {told}.", found=len(found), told=told)
        if found
        else say("there is no bench day of that date.")
    )
    raise Refused(said, where=text, remedy=say("Name one of the plants that were made there, with --by bench."))


def _bench_words(bench: BenchDay) -> str:
    grafted = str(bench.cultivar or say("several cultivars"))
    return say("{cultivar} by {grafter}", cultivar=grafted, grafter=bench.grafter) if bench.grafter else grafted


def thing_called(text: str) -> str:
    """The key of what a person types: a plant's code or name and number, or the name of a mother tree, bag, stock lot or dome.

    Raises `Refused` where it fits nothing, or several.
    """
    named = " ".join(plain(text).split())
    if (bench := _bench_of_day(named)) is not None:
        return bench
    rows = [(noun, row) for noun in _NAMED for row in _NOUNS[noun]._default_manager.all() if str(row).casefold() == named.casefold()]
    if len(rows) == 1:
        return f"{rows[0][0]}:{rows[0][1].pk.hex}"
    answer = find(text)
    if not rows and answer.plant is not None:
        return f"plant:{answer.plant.id.hex}"
    if not rows and answer.bag is not None:
        return f"bag:{answer.bag.id.hex}"
    fitting = [f"{NOUN_WORDS[noun]} {row}" for noun, row in rows] or [plant.spoken for plant in answer.plants[:6]]
    said = say("it fits several: {fitting}.", fitting=", ".join(fitting)) if fitting else answer.words
    raise Refused(said, where=text[:60], remedy=say("Give a plant's code, or the full name of a mother tree, bag, stock lot or dome."))
