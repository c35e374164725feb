"""Wishes: added, changed, taken away and brought back."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from scionary.book.commands import cultivar_called, save_noun
from scionary.book.models import Wish
from scionary.book.patience import patiently
from scionary.errors import UnknownSubject
from scionary.language import say


def wish_called(ident: UUID) -> Wish:
    found = Wish.objects.select_related("cultivar").filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(say("the book holds no such wish."), where="wish", remedy=say("Choose one that is listed under Plan."))
    return found


@patiently
def save_wish(values: Mapping[str, Any], *, now: datetime, ident: UUID, change: bool = False, who: str = "") -> Wish:
    """Add a wish under this id, or change the one that has it; the same form sent twice adds one."""
    with transaction.atomic():
        there = Wish.objects.filter(pk=ident).first()
        if there is not None and not change:
            return there
        cultivar = cultivar_called(values["cultivar"], now=now, who=who)
        row = {**values, "cultivar": cultivar}
        if change:
            return save_noun(Wish, row, now=now, pk=ident, who=who)
        return save_noun(Wish, {"id": ident, **row}, now=now, who=who)


def take_away(ident: UUID, *, away: bool, now: datetime, who: str = "") -> Wish:
    """Take a wish away, or bring it back; its history stays."""
    return save_noun(Wish, {"retired": away}, now=now, pk=ident, who=who)


def taken_away(season: int) -> list[Wish]:
    """Wishes of a season that were taken away."""
    return list(Wish.objects.filter(season=season, retired=True).select_related("cultivar"))


def seasons_wished(*years: int) -> Sequence[int]:
    """Growing years that have wishes, and these."""
    return sorted({*Wish.objects.filter(retired=False).values_list("season", flat=True), *years})
