"""A code of its own for a plant that shares one with another, or has none yet."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from scionary.book.commands import correct
from scionary.book.leases import take_numbers
from scionary.book.locks import gate, lock
from scionary.book.models import Event, Plant
from scionary.book.patience import patiently
from scionary.book.record import Answer
from scionary.errors import Refused
from scionary.language import say
from scionary.names import code_of, grouped


def same_code(plant: Plant) -> list[Plant]:
    """Other plants that carry this plant's code, which must not be."""
    if plant.code_number is None:
        return []
    return list(Plant.objects.filter(code_number=plant.code_number).exclude(pk=plant.pk).select_related("cultivar"))


@patiently
def give_new_code(plant: Plant, *, now: datetime, who: str = "") -> tuple[str, Answer]:
    """The next free code, as a correction of the plant's first graft; the code before stays in its story."""
    with transaction.atomic():
        gate(alone=True)
        lock(["codes:all"])
        held = Plant.objects.get(pk=plant.pk)
        if held.code_number is not None and not same_code(held):
            code = grouped(code_of(held.code_number))
            raise Refused(say("{code} is this plant's alone.", code=code), where="code", remedy=say("Print its label again."))
        first = Event.objects.filter(kind="grafted", subjects__key=plant.key).order_by("happened_at", "id")[0]
        number = take_numbers("", 1, now=now)[0]
        return grouped(code_of(number)), correct(first.pk, {"code_number": number}, now=now, who=who)
