"""Before a plant is sold or given away: whose name was not confirmed in leaf, and what stands in quarantine.

What would be flagged is asked first; what really happened is written all the same, and flagged. The question and the flag come from
the same fold, so that neither says what the other does not. A name is confirmed only where a leaf can tell it (`in_leaf`), which is
never the first thing offered.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.growing_year import in_leaf_season
from scionary.answers.in_leaf import no_leaf
from scionary.answers.putting_right import PutRight
from scionary.answers.set_apart import apart_sources
from scionary.answers.words import listed, plural, short_day
from scionary.book import queries
from scionary.book.commands import write_many
from scionary.book.fold import fold_plant
from scionary.book.ids import uuid7
from scionary.book.left_flags import IN_DOUBT, IN_QUARANTINE, INFERRED, NAME_FLAGS, UNCONFIRMED
from scionary.book.locks import gate
from scionary.book.models import Event, Nursery, Plant
from scionary.book.patience import patiently
from scionary.book.projection import records_of
from scionary.book.record import Answer
from scionary.book.settle import Record
from scionary.errors import Refused
from scionary.language import mark, say

CONFIRM, LEAVE_OUT, ALL_THE_SAME = "confirm", "leave_out", "all_the_same"
QUARANTINE, UNSURE, UNCONFIRMED_YET = "quarantine", "unsure", "unconfirmed"
_ASKED = NAME_FLAGS | {IN_QUARANTINE}
_BEFORE = timedelta(seconds=1)  # a name is confirmed before its plant is gone
_NOT_IN_LEAF = mark(
    "Trees do not stand in leaf on that day, so no name is confirmed here. A leaf that you saw on "
    "another day: write that down first, with its day, on the plant's page."
)
_SENTENCES = {
    QUARANTINE: mark("{plants} in quarantine."),
    UNSURE: mark("The name of {plants} is not sure."),
    UNCONFIRMED_YET: mark("Never confirmed in leaf, and grafted from a tree that is written down: {plants}."),
}


@dataclass(frozen=True)
class Held:
    """Plants about which to ask for one reason: a sentence, each plant with why, and what can be answered."""

    key: str
    sentence: str
    plants: tuple[tuple[Plant, str], ...]
    choices: tuple[tuple[str, str], ...]
    note: str = ""


@dataclass(frozen=True)
class Leaving(PutRight):
    """What was written, and which plants are written down as leaving."""

    gone: list[UUID] = field(default_factory=list)


def held_back(plants: Sequence[Plant], payload: Mapping[str, Any], happened_at: datetime, nursery: Nursery) -> list[Held]:
    """What to ask before these plants are written down as leaving; nothing where nothing would be flagged."""
    new = _new_flags(plants, payload, happened_at)
    groups: dict[str, list[tuple[Plant, str]]] = {QUARANTINE: [], UNSURE: [], UNCONFIRMED_YET: []}
    doubts = apart_sources([plant for plant in plants if new[plant.pk]])
    for plant in plants:
        if flags := new[plant.pk]:
            doubt = doubts.get(plant.pk, "")
            groups[_group(plant, flags, doubt)].append((plant, _why(plant, flags, doubt, nursery)))
    return [_held(key, members, _confirmable_note(key, members, happened_at, nursery)) for key, members in groups.items() if members]


def asked_mark(held: Sequence[Held]) -> str:
    """What tells whether the question is still the one that was answered."""
    lines = [f"{each.key} {plant.pk} {why}" for each in held for plant, why in each.plants]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:16]


@patiently
def write_leaving(
    plants: Sequence[Plant],
    payload: Mapping[str, Any],
    decided: Mapping[str, str],
    nursery: Nursery,
    *,
    happened_at: datetime,
    now: datetime,
    event_id: UUID,
    who: str = "",
    asked: str = "",
) -> Leaving:
    """Write that these plants leave; `decided` says for each group of `held_back` what was answered. All or none.

    `asked` is the mark of the question that was answered, where one was shown: refused when that is no longer the question.
    """
    with transaction.atomic():
        gate(alone=True)
        if Event.objects.filter(pk=event_id).exists():
            return Leaving([Answer(event_id, "repeated")], gone=[plant.pk for plant in plants if plant.state == Plant.State.LEFT])
        plants = list(queries.plants().filter(pk__in=[plant.pk for plant in plants]))
        answered = _answered(held_back(plants, payload, happened_at, nursery), decided, asked)
        going = [plant for plant in plants if answered.get(plant.pk) != LEAVE_OUT]
        seen = tuple(plant.key for plant in going if answered.get(plant.pk) == CONFIRM)
        given: dict[str, Any] = {"now": now, "who": who}
        answers: list[Answer] = []
        if going:
            plain = {name: value for name, value in payload.items() if value not in (None, "")}
            lefts = [("left", plant.key, plain) for plant in going]
            answers = write_many(lefts, happened_at=happened_at, event_id=event_id, **given)
        if seen:
            answers += write_many([("name_confirmed", seen, {})], happened_at=happened_at - _BEFORE, event_id=uuid7(), **given)
        return Leaving(answers, _words(plants, going, seen), [plant.pk for plant in going])


def _answered(held: Sequence[Held], decided: Mapping[str, str], asked: str) -> dict[UUID, str]:
    """What was answered about each plant; refused where something else would have to be asked now."""
    open_now = [each for each in held if decided.get(each.key) not in dict(each.choices)]
    if open_now or (asked and asked != asked_mark(held)):
        told = " ".join(each.sentence for each in open_now or held)
        raise Refused(
            say("this is not answered yet: {told}", told=told), where="leave", remedy=say("Look again: nothing is written down yet.")
        )
    return {plant.pk: decided[each.key] for each in held for plant, _ in each.plants}


def _new_flags(plants: Sequence[Plant], payload: Mapping[str, Any], happened_at: datetime) -> dict[UUID, list[str]]:
    """The flags that each plant would get, from the fold itself."""
    records = records_of([plant.key for plant in plants])
    plain = {"how": payload.get("how") or "sale"}
    found = {}
    for plant in plants:
        after, _ = fold_plant(plant.pk, [*records[plant.key], Record(uuid7(), "left", happened_at, plain)])
        flags = after.flags if after else []
        found[plant.pk] = [flag for flag in flags if flag in _ASKED and flag not in plant.flags]
    return found


def _group(plant: Plant, flags: Sequence[str], doubt: str) -> str:
    if IN_QUARANTINE in flags:
        return QUARANTINE
    return UNCONFIRMED_YET if UNCONFIRMED in flags and _tree_known(plant) and not doubt else UNSURE


def _tree_known(plant: Plant) -> bool:
    grafts = list(plant.grafts.all())
    return bool(grafts) and grafts[-1].tree_id is not None


def _why(plant: Plant, flags: Sequence[str], doubt: str, nursery: Nursery) -> str:
    parts = []
    if IN_QUARANTINE in flags and plant.quarantined_at:
        since = short_day(plant.quarantined_at.astimezone(nursery.zone).date())
        parts.append(say("in quarantine since {since}: {quarantine_reason}", since=since, quarantine_reason=plant.quarantine_reason))
    if {IN_DOUBT, INFERRED} & set(flags):
        parts.append(f"{plant.name_caution}: {plant.name_doubt}" if plant.name_doubt else plant.name_caution)
    elif UNCONFIRMED in flags:
        parts.append(
            say("name never confirmed in leaf")
            if _tree_known(plant)
            else say("name never confirmed in leaf, its mother tree not written down")
        )
    return "; ".join([*parts, *([doubt] if doubt and NAME_FLAGS & set(flags) else [])])


def _confirmable_note(key: str, members: Sequence[tuple[Plant, str]], happened_at: datetime, nursery: Nursery) -> str:
    """Why these names cannot be confirmed on that day; empty where they can, and where no name is asked about."""
    if key == QUARANTINE:
        return ""
    if not in_leaf_season(happened_at.astimezone(nursery.zone).date(), nursery.latitude_deg):
        return say(_NOT_IN_LEAF)
    bare = [why for plant, _ in members if (why := no_leaf(plant, happened_at, nursery))]
    return f"{listed(bare, most=3)}." if bare else ""


def _held(key: str, members: Sequence[tuple[Plant, str]], bare: str) -> Held:
    names = listed([plant.spoken for plant, _ in members])
    subject = f"{names} {'stands' if len(members) == 1 else 'stand'}" if key == QUARANTINE else names
    choices = (
        (LEAVE_OUT, say("Leave it out") if len(members) == 1 else say("Leave these out")),
        (ALL_THE_SAME, say("Record all the same, flagged")),
        *(() if key == QUARANTINE or bare else ((CONFIRM, _confirm_words([plant for plant, _ in members])),)),
    )
    note = say("The book only records: ask the plant health authority before it leaves.") if key == QUARANTINE else bare
    return Held(key, say(_SENTENCES[key], plants=subject), tuple(members), choices, note)


def _confirm_words(plants: Sequence[Plant]) -> str:
    """What one says by confirming; of an inferred name with its chance, of several with the least."""
    inferred = [plant for plant in plants if plant.name_status == Plant.NameStatus.INFERRED]
    if len(plants) == 1:
        return say("Confirm the name{rests_on}: I saw it in leaf", rests_on=f" ({plants[0].name_words})" if inferred else "")
    least = min(inferred, key=lambda plant: plant.name_chance or 0.0).name_words if inferred else ""
    return say(
        "Confirm the names{rests_on}: I saw each in leaf",
        rests_on=say(" (of {inferred} {least} or more)", inferred=len(inferred), least=least) if inferred else "",
    )


def _words(plants: Sequence[Plant], going: Sequence[Plant], seen: Sequence[str]) -> list[str]:
    """What became of those that were asked about."""
    stay = [plant.spoken for plant in plants if plant not in going]
    left = say("Left out, and still here: {stay}.", stay=listed(stay)) if stay else ""
    confirmed = say("{names} confirmed in leaf.", names=plural(len(seen), "name")) if seen else ""
    return [words for words in (confirmed, left) if words]
