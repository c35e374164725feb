"""Names that may be one: cultivars that are spelt nearly alike, or bear the same botanical name, until a person says that they are two."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime
from itertools import combinations
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Count

from scionary.answers.full_name import full_name
from scionary.answers.joins import all_joins
from scionary.answers.spelling import folded, numbered_apart
from scionary.answers.words import plural
from scionary.book import queries
from scionary.book.locks import gate, lock
from scionary.book.models import Cultivar, Event, MotherTree, Plant, ScionBag, Tally, Wish
from scionary.book.patience import patiently
from scionary.book.projection import with_corrections
from scionary.book.record import NewEvent, record_events
from scionary.book.settle import void
from scionary.errors import Refused
from scionary.language import forms, say
from scionary.names import BotanicalName

LINE = "two names"
_CLOSE_ENOUGH = 80.0  # project default, unsourced: "Red Tran" is 87 from "Red Tarn", "Red Fell" 62
_ROWS_AT_ONCE = 500
_COUNTED: tuple[tuple[Any, str, str], ...] = (
    (Plant, *forms("plant", "plants")),
    (MotherTree, *forms("tree", "trees")),
    (ScionBag, *forms("bag", "bags")),
    (Wish, *forms("wish", "wishes")),
    (Tally, *forms("count from before the book", "counts from before the book")),
)
Couple = frozenset[UUID]


@dataclass(frozen=True)
class OneName:
    """A cultivar of a pair: its name, how many plants it has, and what else belongs to it, in words."""

    ident: UUID
    spoken: str
    plants: int
    has: str


@dataclass(frozen=True)
class Pair:
    """Two cultivars that may be one, the one with more plants first."""

    first: OneName
    second: OneName
    why: str

    def to_dict(self) -> dict[str, Any]:
        return asdict(self)


@dataclass(frozen=True)
class LeftBehind:
    """What came in under a name after it was given up: from a phone that did not know yet, or a graft that was brought back."""

    keep: UUID
    give: UUID
    words: str


def alike() -> list[Pair]:
    """Pairs of cultivars that may be one and of which nobody said that they are two; the nearest first."""
    cultivars = list(Cultivar.objects.filter(retired=False).order_by("spoken"))
    two = told_two()
    found: dict[Couple, tuple[float, str]] = {}
    for first, second, near in _near(cultivars):
        found[frozenset((first.pk, second.pk))] = (near, _spelt_words(near))
    for first, second in _same_botanical(cultivars):
        found.setdefault(frozenset((first.pk, second.pk)), (100.0, say("they bear the same botanical name")))
    known = {cultivar.pk: cultivar for cultivar in cultivars}
    open_pairs = {couple: found[couple] for couple in found if couple not in two}
    names = _described([known[ident] for ident in frozenset().union(*open_pairs)])
    pairs = []
    for couple, (near, why) in open_pairs.items():
        most, fewer = sorted((names[ident] for ident in couple), key=lambda one: (-one.plants, one.spoken))
        pairs.append((-near, Pair(most, fewer, why)))
    return [pair for _, pair in sorted(pairs, key=lambda each: (each[0], each[1].first.spoken, each[1].second.spoken))]


def told_two() -> dict[Couple, UUID]:
    """Pairs of which a person said that they are two, with the record of it."""
    told = Event.objects.filter(kind="answered", payload__line=LINE).prefetch_related("subjects")
    corrected = set(Event.objects.filter(target__in=[event.pk for event in told]).values_list("target", flat=True))
    standing = [event for event in told if event.pk not in corrected or event.pk not in void(with_corrections(event.pk))]
    return {couple: event.pk for event in standing if len(couple := _couple(event)) == 2}


@patiently
def they_are_two(first: UUID, second: UUID, *, now: datetime, who: str = "") -> UUID:
    """Remember that two names are two cultivars, so that they are not offered again; said twice, it is written once."""
    with transaction.atomic():
        gate(alone=False)
        lock(["names:two"])
        if first == second or Cultivar.objects.filter(pk__in=(first, second)).count() < 2:
            raise Refused(say("two cultivars of the book are needed."), where="names", remedy=say("Load the page again."))
        there = told_two().get(frozenset((first, second)))
        if there is not None:
            return there
        subjects = (queries.nursery().key, f"cultivar:{first}", f"cultivar:{second}")
        event = NewEvent("answered", now, subjects, {"line": LINE, "answer": "not_needed"}, who=who)
        record_events([event], now=now)
        return event.id


def left_behind() -> list[LeftBehind]:
    """Names that were given up and to which something belongs again."""
    standing = {join.give: join for join in all_joins() if join.stands}
    counts = _counts(set(standing))
    return [
        LeftBehind(join.keep, give, say("{has} under {given}", has=_has(counts[give]), given=join.given))
        for give, join in standing.items()
        if counts[give]
    ]


def _near(cultivars: Sequence[Cultivar]) -> Iterator[tuple[Cultivar, Cultivar, float]]:
    """Pairs that are spelt nearly alike; numbers that tell two apart do so on purpose."""
    from rapidfuzz import fuzz, process

    plain = [folded(cultivar.spoken) for cultivar in cultivars]
    for start in range(0, len(plain), _ROWS_AT_ONCE):
        scores = process.cdist(plain[start : start + _ROWS_AT_ONCE], plain, scorer=fuzz.ratio, score_cutoff=_CLOSE_ENOUGH)
        for row, column in zip(*scores.nonzero(), strict=True):
            one, other = start + int(row), int(column)
            if one < other and plain[one] and not numbered_apart(plain[one], plain[other]):
                yield cultivars[one], cultivars[other], float(scores[row, column])


def _spelt_words(near: float) -> str:
    return say("they differ by case, accents, apostrophes or hyphens alone") if near >= 100 else say("they are spelt nearly alike")


def _same_botanical(cultivars: Sequence[Cultivar]) -> Iterator[tuple[Cultivar, Cultivar]]:
    """Pairs with the same botanical name, down to the cultivar."""
    named: dict[str, list[Cultivar]] = defaultdict(list)
    for cultivar in cultivars:
        if cultivar.botanical:
            named[folded(cultivar.botanical)].append(cultivar)
    for same in named.values():
        name = full_name(same[0]) if len(same) > 1 else None
        if name is not None and name.cultivar:
            yield from combinations(same, 2)


def same_botanical(name: BotanicalName, but: UUID | None = None) -> list[str]:
    """Cultivars in use that bear this botanical name, down to the cultivar."""
    if not name.cultivar:
        return []
    rows = Cultivar.objects.filter(retired=False).exclude(botanical="").order_by("spoken").values_list("id", "spoken", "botanical")
    wanted = folded(name.plain)
    return [spoken for ident, spoken, botanical in rows if folded(botanical) == wanted and ident != but]


def _described(cultivars: Sequence[Cultivar]) -> dict[UUID, OneName]:
    counts = _counts({cultivar.pk for cultivar in cultivars})
    return {c.pk: OneName(c.pk, c.spoken, counts[c.pk].get("plant", 0), _has(counts[c.pk]) or say("nothing yet")) for c in cultivars}


def _counts(cultivars: set[UUID]) -> dict[UUID, dict[str, int]]:
    """How much of each kind belongs to each cultivar."""
    found: dict[UUID, dict[str, int]] = {ident: {} for ident in cultivars}
    for model, word, _ in _COUNTED:
        rows = model._default_manager.filter(cultivar__in=cultivars)
        rows = rows if model is Plant else rows.filter(retired=False)
        for ident, count in rows.order_by().values_list("cultivar").annotate(Count("pk")):
            found[ident][word] = count
    return found


def _has(counts: dict[str, int]) -> str:
    """3 plants, 1 tree."""
    return ", ".join(plural(counts[one], one, many) for _, one, many in _COUNTED if counts.get(one))


def _couple(event: Event) -> Couple:
    return frozenset(UUID(subject.key[9:]) for subject in event.subjects.all() if subject.key.startswith("cultivar:"))
