"""Two names of one cultivar made one, all or nothing; and taken apart again as they were."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.join_look import look_at_join
from scionary.answers.joins import Join, OnePlant, OneRow, all_joins, join_called, join_events, rows_of, unjoin_event
from scionary.answers.putting_right import put_right
from scionary.book.commands import correct_many, save_noun
from scionary.book.ids import uuid7
from scionary.book.locks import gate, lock
from scionary.book.models import NOUNS, Cultivar, Event, Noun, OtherName
from scionary.book.patience import patiently
from scionary.book.record import record_events
from scionary.book.rows import as_plain
from scionary.errors import Refused
from scionary.language import say


@dataclass(frozen=True)
class TakenApart:
    """A joining that was undone: what could not be put back as it was, and what was flagged."""

    join: Join
    words: list[str]
    flags: list[str]


@patiently
def join(keep: UUID, give: UUID, *, now: datetime, who: str = "", seen: str = "") -> Join:
    """Make two cultivars one. With `seen`, what was looked at before must still be all that changes."""
    with transaction.atomic():
        gate(alone=True)
        lock(["codes:all"])
        look = look_at_join(keep, give, now=now)
        if seen and seen != look.seen:
            raise Refused(say("the book has changed since you looked."), where="names", remedy=say("Look again, then join them."))
        done = Join(uuid7(), now, who, look.keep.pk, look.give.pk, look.keep.spoken, look.give.spoken)
        if look.grafts:
            put_right(look.grafts, now=now, who=who, device=done.mark)
        rows = [_change(NOUNS[row.noun], row.ident, row.after, now, who) for row in look.rows]
        values = {name: as_plain(look.give)[name] for name in look.takes_over}
        rows += [_change(Cultivar, look.keep.pk, values, now, who)] if values else []
        rows += [_change(Cultivar, look.give.pk, {"retired": True}, now, who)] if not look.give.retired else []
        rows += _goes_on_finding(look.keep, look.give, now, who)
        named = [OnePlant(each.plant.pk, each.plant.running_number, each.number) for each in look.plants]
        record_events(join_events(done, named, rows), now=now)
        return done


@patiently
def take_apart(ident: UUID, *, now: datetime, who: str = "") -> TakenApart:
    """Undo a joining: plants and rows are named as before; what somebody changed since stays as it is, and is told."""
    with transaction.atomic():
        gate(alone=True)
        lock(["codes:all"])
        done = join_called(ident)
        _check_last(done)
        corrections = Event.objects.filter(kind="corrected", device=done.mark).order_by("id").values_list("pk", flat=True)
        answers = correct_many([(each, None) for each in corrections], now=now, who=who)
        words = [told for row in reversed(rows_of(done)) if (told := _put_back(row, now, who))]
        record_events([unjoin_event(done, now=now, who=who)], now=now)
        return TakenApart(done, words, sorted({flag for answer in answers for flag in answer.flags}))


def _check_last(done: Join) -> None:
    """The last joining of a name is undone first, or what it moved would be torn."""
    if not done.stands:
        raise Refused(say("this joining is undone already."), where="names", remedy=say("Nothing is left to undo."))
    last = next(each for each in all_joins() if each.stands and each.concerns([done.keep, done.give]))
    if last.ident != done.ident:
        raise Refused(say("{last} after that.", last=last.words), where="names", remedy=say("Undo that first."))


def _put_back(row: OneRow, now: datetime, who: str) -> str:
    """Put a row back as it was; what to say where it was changed since."""
    model: Any = NOUNS[row.noun]
    found = model._default_manager.get(pk=row.ident)
    here = as_plain(found)
    if any(here[name] != value for name, value in row.after.items()):
        return say("{found} was changed since, and stays as it is.", found=found)
    save_noun(model, row.before, now=now, pk=row.ident, who=who)
    return ""


def _goes_on_finding(keep: Cultivar, give: Cultivar, now: datetime, who: str) -> list[OneRow]:
    """The name that is given up as another name of the kept one."""
    there = OtherName.objects.filter(name=give.spoken).first()
    after = {"cultivar_id": str(keep.pk), "kind": OtherName.Kind.JOINED, "retired": False}
    if there is not None:
        return [_change(OtherName, there.pk, after, now, who)]
    made = save_noun(OtherName, {"name": give.spoken, "cultivar": keep, "kind": OtherName.Kind.JOINED}, now=now, who=who)
    return [OneRow(made.noun, made.pk, {"retired": True}, {"retired": False})]


def _change(model: type[Noun], ident: UUID, values: dict[str, Any], now: datetime, who: str) -> OneRow:
    """Change a row, and what it was before and after."""
    before = as_plain(model._default_manager.get(pk=ident))
    save_noun(model, values, now=now, pk=ident, who=who)
    after = as_plain(model._default_manager.get(pk=ident))
    return OneRow(model.noun, ident, {name: before[name] for name in values}, {name: after[name] for name in values})
