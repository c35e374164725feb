"""Noting what did not go as laid out in a trial, and putting a trial away."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.answers.trial_places import Fate, trial_places
from scionary.answers.trials import trial_called
from scionary.book import queries
from scionary.book.commands import save_noun
from scionary.book.kinds import plain
from scionary.book.locks import gate, lock
from scionary.book.models import Trial
from scionary.book.patience import patiently
from scionary.errors import Refused, UnknownSubject
from scionary.language import say

_LONGEST_WHY = 200


@patiently
def leave_out(ident: UUID, *, block: int, place: int | None, why: str, now: datetime, who: str = "") -> Trial:
    """Note that a place, or without one a whole filling, did not go as laid out: its outcome then counts as missing.

    A place whose outcome was known by then is kept as such, and stays so when it is noted again.
    """
    reason = " ".join(plain(why).split())[:_LONGEST_WHY]
    if not reason:
        raise Refused(say("it does not say why."), where="why", remedy=say("Say what happened: no wood left, the wrong film."))
    with transaction.atomic():
        gate(alone=False)
        lock([f"trial:{ident}"])
        trial = trial_called(ident)
        where = _block(trial, block)
        wanted = where["places"] if place is None else [place]
        if not set(wanted) <= set(where["places"]):
            raise Refused(
                say("{name} has no place {place} in this trial.", name=where["name"], place=place),
                where="place",
                remedy=say("Give a place of its drawing."),
            )
        gone = {(where["dome"], where["filling"], number) for number in wanted}
        kept = [out for out in trial.left_out if (out["dome"], out["filling"], out["place"]) not in gone]
        known = _known(trial, block, now)
        added = [
            {"dome": dome, "filling": filling, "place": number, "why": reason, **({"known": True} if number in known else {})}
            for dome, filling, number in sorted(gone)
        ]
        return save_noun(Trial, {"left_out": [*kept, *added]}, now=now, pk=ident, who=who)


@patiently
def count_again(ident: UUID, *, block: int, place: int, now: datetime, who: str = "") -> Trial:
    """Take back that a place was left out."""
    with transaction.atomic():
        gate(alone=False)
        lock([f"trial:{ident}"])
        trial = trial_called(ident)
        where = _block(trial, block)
        same = (where["dome"], where["filling"], place)
        kept = [out for out in trial.left_out if (out["dome"], out["filling"], out["place"]) != same]
        return save_noun(Trial, {"left_out": kept}, now=now, pk=ident, who=who)


def put_away(ident: UUID, *, away: bool, now: datetime, who: str = "") -> Trial:
    """Put a trial away, or bring it back; its history stays."""
    return save_noun(Trial, {"retired": away}, now=now, pk=ident, who=who)


def _known(trial: Trial, block: int, now: datetime) -> set[int]:
    """Places of a filling whose outcome is known already, or was when they were left out."""
    seen = (Fate.TOOK, Fate.FAILED, Fate.LEFT_OUT_KNOWN)
    today = now.astimezone(queries.nursery().zone).date()
    return {place.place for place in trial_places(trial, today=today) if place.block == block and place.fate in seen}


def _block(trial: Trial, at: int) -> dict[str, Any]:
    if not 0 <= at < len(trial.layout):
        raise UnknownSubject(say("the trial has no such filling of a dome."), where="dome", remedy=say("Choose one of its drawings."))
    block: dict[str, Any] = trial.layout[at]
    return block
