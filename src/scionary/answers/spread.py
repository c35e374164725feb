"""What could have caught it from here, and where could it have come from: over all that plants of the book shared."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from enum import Enum
from functools import cached_property
from math import inf
from uuid import UUID
from zoneinfo import ZoneInfo

import numpy as np

from scionary.answers.contact_map import ContactMap, Way, contact_map, nowhere
from scionary.answers.events_in_bulk import ident_text
from scionary.answers.things import NOUN_FORMS, Thing, things
from scionary.answers.words import day_words, listed, plural
from scionary.book.locks import chunks
from scionary.book.models import BenchDay, Nursery, Plant
from scionary.errors import UnknownSubject
from scionary.language import Words, mark, say
from scionary.names import Reach, spread_from, spread_to

_SOURCES = ("tree", "bag", "lot")
FEW = 2_000  # up to so many plants are asked for by name; of more all are read


class Ask(Enum):
    """What is feared to pass on."""

    SICKNESS = "sickness"
    NAME = "name"


USUAL: dict[Ask, tuple[Way, ...]] = {
    Ask.SICKNESS: (Way.WOOD, Way.STOCK, Way.BLADE, Way.COVER, Way.TREATED),
    Ask.NAME: (Way.WOOD,),
}
WAY_WORDS = Words(
    {
        Way.WOOD: mark("wood: mother tree, bag, and trees that grew from a plant"),
        Way.STOCK: mark("stock of one lot"),
        Way.BLADE: mark("one blade, cut one after the other"),
        Way.COVER: mark("under one cover at one time"),
        Way.TREATED: mark("treated together"),
        Way.BENCH: mark("one bench day: labels may have been swapped"),
    }
)


@dataclass(frozen=True)
class SpreadQuestion:
    """From which thing, for what, forwards or back, by which ways, and since when (back: until when)."""

    key: str
    ask: Ask = Ask.SICKNESS
    back: bool = False
    ways: tuple[Way, ...] = USUAL[Ask.SICKNESS]
    since: date | None = None


@dataclass(frozen=True)
class Shared:
    """Something that a plant shared, with how many plants."""

    thing: Thing
    plants: int


@dataclass(frozen=True)
class SpreadAnswer:
    """What is reached; plants in the order of steps, then of time."""

    question: SpreadQuestion
    begin: Thing
    map: ContactMap
    reach: Reach
    began: tuple[int, ...]
    zone: ZoneInfo

    @cached_property
    def reached(self) -> list[int]:
        """Numbers of all that is reached but where it began, nearest first."""
        found = np.flatnonzero(self.reach.steps > 0)
        moment = np.nan_to_num(self.reach.moment[found], nan=inf, posinf=inf, neginf=-inf)
        return [int(n) for n in found[np.lexsort((found, moment, self.reach.steps[found]))]]

    @cached_property
    def plants(self) -> list[str]:
        """The plants among them, by the digits of their ids."""
        return [key[6:] for key in (self.map.keys[n] for n in self.reached) if key.startswith("plant:")]

    @cached_property
    def sources(self) -> list[str]:
        """The keys of the mother trees, bags and stock lots among them."""
        keys = [self.map.keys[n] for n in self.reached]
        return [key for noun in _SOURCES for key in keys if key.startswith(f"{noun}:")]

    @cached_property
    def states(self) -> Counter[str]:
        """How many of the plants are in which state."""
        return Counter(state for plant in self.plants if (state := self.state_of.get(plant)))

    @cached_property
    def state_of(self) -> dict[str, str]:
        """The state of each of the plants; one whose graft is undone has none."""
        return _states(self.plants)

    @cached_property
    def things(self) -> Counter[str]:
        """How many things of each noun are reached."""
        return Counter(self.map.keys[n].split(":")[0] for n in self.reached)

    @property
    def sentence(self) -> str:
        """The answer in one sentence."""
        here = sum(self.states[state] for state in (Plant.State.WAITING, Plant.State.ALIVE, Plant.State.MISSING))
        parts = [
            (here, say("{here} here", here=here)),
            (self.states[Plant.State.LEFT], say("{left} sold or given away", left=self.states[Plant.State.LEFT])),
            (self.states[Plant.State.DEAD], say("{dead} lost", dead=self.states[Plant.State.DEAD])),
        ]
        told = ", ".join(words for count, words in parts if count)
        many = f"{plural(len(self.plants), 'plant')}{f' ({told})' if told else ''}"
        others = [plural(self.things[noun], *NOUN_FORMS[noun]) for noun in _SOURCES if self.things[noun]]
        many = listed([many, *others] if self.plants or not others else others)
        what = say("have it") if self.question.ask is Ask.SICKNESS else say("be wrong with it")
        day = day_words(self.question.since) if self.question.since else ""
        when = "" if not day else say(" until {day}", day=day) if self.question.back else say(" since {day}", day=day)
        if not self.plants and not self.sources:
            back = (
                say("It leads back to nothing{when}", when=when)
                if self.question.back
                else say("Nothing could {what}{when}", what=what, when=when)
            )
            return say("{back}: by these ways the book knows of nothing that it met.", back=back)
        if self.question.back:
            return say("It could have come to {words} from {many}.", words=self.begin.words, many=many)
        return say("{many} could {what}.", many=many, what=what)

    def shared(self) -> list[Shared]:
        """What the plant where it began shared with others by these ways, the smallest company first."""
        if not self.begin.key.startswith("plant:"):
            return []
        contacts = self.map.contacts
        (here,) = self.began
        sources = {int(n) for n in contacts.source[contacts.target == here]}
        for bag in [n for n in sources if self.map.keys[n].startswith("bag:")]:  # and the tree that the bag was cut from
            sources |= {int(n) for n in contacts.source[contacts.target == bag]}
        company = {n: self._company(n) for n in sources}
        named = things((self.map.keys[n] for n in sources), self.zone)
        found = [Shared(named[self.map.keys[n]], count) for n, count in company.items()]
        return sorted(found, key=lambda shared: (shared.plants, shared.thing.words))

    def _company(self, thing: int) -> int:
        """How many plants have met a thing; of a mother tree also those of its bags."""
        contacts = self.map.contacts
        met = set(contacts.target[contacts.out_of(np.array([thing]))].tolist())
        bags = [n for n in met if self.map.keys[n].startswith("bag:")]
        met |= set(contacts.target[contacts.out_of(np.array(bags, dtype=np.int64))].tolist())
        return sum(self.map.keys[n].startswith("plant:") for n in met)

    def ways_to(self, keys: Sequence[str]) -> dict[str, list[Thing]]:
        """For each of these reached things a shortest way between it and where it began, first in time first."""
        steps = {key: self._nodes(self.map.number[key]) for key in keys}
        named = things({key for nodes in steps.values() for key in nodes}, self.zone)
        return {key: [named[node] for node in nodes] for key, nodes in steps.items()}

    def _nodes(self, thing: int) -> list[str]:
        contacts = self.reach.path(thing)
        if not contacts:
            return [self.map.keys[thing]]
        path = [int(self.map.contacts.source[contacts[0]]), *(int(self.map.contacts.target[c]) for c in contacts)]
        return [self.map.keys[n] for n in path]


def spread(question: SpreadQuestion, nursery: Nursery, *, progress: Callable[[float, str], bool | None] | None = None) -> SpreadAnswer:
    """Follow the contacts of the whole book from a thing.

    Raises `UnknownSubject` where the book holds no such thing, or it met nothing.
    """
    zone = nursery.zone
    noun = question.key.split(":")[0]
    if noun == "bench" and question.ask is Ask.NAME and Way.BENCH not in question.ways:
        question = replace(question, ways=(*question.ways, Way.BENCH))  # what else could a bench day pass to a name
    begin = things([question.key], zone)[question.key]
    named = noun in ("plant", "tree", "bag", "lot", "bench")
    if noun not in ("blade", "cover", "treatment") and begin.nameless:
        raise UnknownSubject(say("the book holds no such thing."), where="from", remedy=say("Start from the page of a plant or tree."))
    found = contact_map(question.ways, zone, only_standing=question.ask is Ask.NAME)
    began = _begin(question.key, found)
    if not began and named:
        found, began = nowhere(question.key), [0]
    if not began:
        raise UnknownSubject(
            say("by these ways it met nothing."), where="from", remedy=say("Choose other ways, or start from a plant or tree.")
        )
    edge = _edge(question, zone)
    search = (
        spread_to(found.contacts, began, until=edge, progress=progress)
        if question.back
        else spread_from(found.contacts, began, since=edge, progress=progress)
    )
    return SpreadAnswer(question, begin, found, search, tuple(began), zone)


def _begin(key: str, found: ContactMap) -> list[int]:
    """Where a search begins: the thing itself; of a dome its last filling, of a bench day also its blade."""
    noun, _, rest = key.partition(":")
    if noun == "dome":
        fillings = [k for k in found.keys if k.startswith(f"cover:{rest}:")]
        return [found.number[max(fillings, key=lambda k: int(k.rpartition(":")[2]))]] if fillings else []
    keys = [key]
    if noun == "bench":
        bench = BenchDay.objects.filter(pk=UUID(rest)).first()
        keys += [k for k in found.keys if bench and k.startswith(f"blade:{bench.day.isoformat()}:") and k.split(":", 3)[3] == bench.grafter]
    return [found.number[k] for k in keys if k in found.number]


def usual_ways(ask: Ask, key: str = "") -> tuple[Way, ...]:
    """The ways that are followed where nobody chooses others: from a bench day a wrong name passes by swapped labels."""
    return (*USUAL[ask], Way.BENCH) if ask is Ask.NAME and key.startswith("bench:") else USUAL[ask]


def _edge(question: SpreadQuestion, zone: ZoneInfo) -> float:
    if question.since is None:
        return inf if question.back else -inf
    if question.back:
        return datetime.combine(question.since + timedelta(days=1), time(0), zone).timestamp() - 1
    return datetime.combine(question.since, time(0), zone).timestamp()


def _states(plants: Sequence[str]) -> dict[str, str]:
    """The state of each plant, by the digits of its id."""
    rows = Plant.objects.order_by().values_list(ident_text("pk"), "state")
    if len(plants) > FEW:
        return dict(rows)
    return {ident: state for chunk in chunks(map(UUID, plants)) for ident, state in rows.filter(pk__in=chunk)}
