"""Names that were joined: what is written of each joining, which stand, and what plants were called before.

A joining is one `edited` event about both cultivars, its parts (the plants with their numbers before and after, the rows that were
changed), and corrections of grafts; all carry the same mark as their device. Taken apart, one more such event says so.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from scionary.book.called import spelling
from scionary.book.locks import AT_ONCE
from scionary.book.models import Cultivar, Event
from scionary.book.record import NewEvent
from scionary.errors import UnknownSubject
from scionary.language import say

_MARK = "join "


@dataclass(frozen=True)
class OnePlant:
    """A plant of a joining: its number under the name that was given up, and the one it got."""

    plant: UUID
    before: int | None
    after: int | None


@dataclass(frozen=True)
class OneRow:
    """A row that a joining changed: the fields as they were before and after."""

    noun: str
    ident: UUID
    before: dict[str, Any]
    after: dict[str, Any]


@dataclass(frozen=True)
class Join:
    """Two names that were joined: which is kept, which was given up, and when that was undone, if it was."""

    ident: UUID
    at: datetime
    who: str
    keep: UUID
    give: UUID
    kept: str
    given: str
    undone_at: datetime | None = None

    @property
    def mark(self) -> str:
        return f"{_MARK}{self.ident}"

    @property
    def stands(self) -> bool:
        return self.undone_at is None

    @property
    def words(self) -> str:
        """Red Tran was joined with Red Tarn."""
        return say("{given} was joined with {kept}", given=self.given, kept=self.kept)

    def called_before(self, each: OnePlant) -> str:
        return f"{self.given} {each.before}" if each.before else self.given

    def called_after(self, each: OnePlant) -> str:
        return f"{self.kept} {each.after}" if each.after else self.kept

    def concerns(self, cultivars: Iterable[UUID]) -> bool:
        return not {self.keep, self.give}.isdisjoint(cultivars)


def all_joins() -> list[Join]:
    """Every joining of the book, the latest first, those that were undone too."""
    told = Event.objects.filter(kind="edited", device__startswith=_MARK).order_by("-happened_at", "-id")
    listed = [event for event in told if {"join", "unjoin"} & set(event.payload)]
    undone = {event.payload["unjoin"]: event.happened_at for event in listed if "unjoin" in event.payload}
    return [_join(event, undone.get(str(event.pk))) for event in listed if "join" in event.payload]


def joins_of(cultivar: Cultivar) -> list[Join]:
    """The joinings that a cultivar had a part in, the latest first."""
    return [join for join in all_joins() if join.concerns([cultivar.pk])]


def join_called(ident: UUID) -> Join:
    found = next((join for join in all_joins() if join.ident == ident), None)
    if found is None:
        raise UnknownSubject(say("the book holds no such joining of names."), where="names", remedy=say("Choose one that is listed."))
    return found


def plants_of(join: Join) -> list[OnePlant]:
    """The plants that changed their name with a joining."""
    return [OnePlant(UUID(plant), before, after) for plant, before, after in _parts(join, "plants")]


def rows_of(join: Join) -> list[OneRow]:
    """The rows that a joining changed."""
    return [OneRow(each["noun"], UUID(each["id"]), each["before"], each["after"]) for each in _parts(join, "rows")]


def numbered_once(name: str, number: int) -> list[UUID]:
    """Plants that had this number under a name that was given up since."""
    wanted = spelling(name)
    joins = [join for join in all_joins() if join.stands and spelling(join.given) == wanted]
    return [each.plant for join in joins for each in plants_of(join) if each.before == number]


def join_events(join: Join, plants: Sequence[OnePlant], rows: Sequence[OneRow]) -> list[NewEvent]:
    """What is written of a joining, in pieces of some hundreds."""
    told = {"keep": str(join.keep), "give": str(join.give), "kept": join.kept, "given": join.given}
    named = [[str(each.plant), each.before, each.after] for each in plants]
    changed = [{"noun": each.noun, "id": str(each.ident), "before": each.before, "after": each.after} for each in rows]
    events = [_event(join, {"join": told}, id=join.ident)]
    events += [_event(join, {"plants": named[start : start + AT_ONCE]}) for start in range(0, len(named), AT_ONCE)]
    return events + [_event(join, {"rows": changed[start : start + AT_ONCE]}) for start in range(0, len(changed), AT_ONCE)]


def unjoin_event(join: Join, *, now: datetime, who: str) -> NewEvent:
    return NewEvent("edited", now, _subjects(join), {"noun": Cultivar.noun, "unjoin": str(join.ident)}, who=who, device=join.mark)


def _event(join: Join, payload: dict[str, Any], **more: Any) -> NewEvent:
    return NewEvent("edited", join.at, _subjects(join), {"noun": Cultivar.noun, **payload}, who=join.who, device=join.mark, **more)


def _subjects(join: Join) -> tuple[str, ...]:
    return (f"cultivar:{join.keep}", f"cultivar:{join.give}")


def _parts(join: Join, what: str) -> list[Any]:
    told = Event.objects.filter(kind="edited", device=join.mark).order_by("id")
    return [each for event in told for each in event.payload.get(what, [])]


def _join(event: Event, undone_at: datetime | None) -> Join:
    told = event.payload["join"]
    return Join(event.pk, event.happened_at, event.who, UUID(told["keep"]), UUID(told["give"]), told["kept"], told["given"], undone_at)
