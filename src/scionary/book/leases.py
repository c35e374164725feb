"""Code numbers: each device leases a block; no number is ever issued twice, unused ones are never issued again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import F, Max

from scionary.book.locks import lock_numbers
from scionary.book.models import CodeLease, Device, Event, Plant
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.language import mark, say
from scionary.names import code_of, grouped

BLOCK = 200
LAST_NUMBER = 5_999_999
THIS_MACHINE = mark("this machine")
AHEAD = mark("labels printed ahead")


@patiently
def take_numbers(device_name: str, count: int, *, now: datetime) -> list[int]:
    """The next numbers of a device's lease; leases another block when it is spent."""
    numbers: list[int] = []
    with transaction.atomic():
        lock_numbers()
        device, _ = Device.objects.get_or_create(name=device_name or THIS_MACHINE, defaults={"added_at": now})
        while len(numbers) < count:
            lease = device.leases.filter(used__lt=F("count")).order_by("first").first() or new_lease(device, now=now)
            part = min(count - len(numbers), lease.count - lease.used)
            numbers += range(lease.first + lease.used, lease.first + lease.used + part)
            CodeLease.objects.filter(pk=lease.pk).update(used=lease.used + part)
    return numbers


def new_lease(device: Device, *, now: datetime, count: int = BLOCK) -> CodeLease:
    """Lease the next free block to a device."""
    with transaction.atomic():
        lock_numbers()
        last = CodeLease.objects.aggregate(end=Max(F("first") + F("count")))["end"] or 0
        if last + count - 1 > LAST_NUMBER:
            raise Refused(say("all code numbers have been issued."), where="codes", remedy=say("Start a new book for new plants."))
        return CodeLease.objects.create(device=device, first=last, count=count, leased_at=now)


def check_ahead(numbers: Sequence[int]) -> None:
    """Refuse numbers that stand on no label written or printed ahead, that a plant was written down with before, or that are given twice.

    A phone writes labels from its own lease: where the book could not take such a graft, it is written down by hand with the same code.
    """
    twice = next((number for number in numbers if numbers.count(number) > 1), None)
    if twice is not None:
        raise Refused(
            say("{grouped} is given twice.", grouped=grouped(code_of(twice))),
            where="codes",
            remedy=say("Each plant has a code of its own."),
        )
    _check_unused(numbers)
    leases = list(CodeLease.objects.all().select_related("device"))
    for number in numbers:
        code = grouped(code_of(number))
        if not any(lease.first <= number < lease.first + lease.count for lease in leases):
            remedy = say("Is the label from another nursery, or another book? Leave it out, and print a label of this book for the plant.")
            raise Refused(say("{code} was never issued by this book.", code=code), where="codes", remedy=remedy)
        if not any(_on_a_label(number, lease) for lease in leases):
            remedy = say("Give the codes of labels that were printed ahead: scionary labels --ahead.")
            raise Refused(say("{code} stands on no label printed ahead.", code=code), where="codes", remedy=remedy)


def _on_a_label(number: int, lease: CodeLease) -> bool:
    """Whether a label with this number of the lease can hang somewhere: one printed ahead, or any of a phone's."""
    handed = lease.used if lease.device.name == AHEAD else lease.count
    return lease.device.name != THIS_MACHINE and lease.first <= number < lease.first + handed


def _check_unused(numbers: Sequence[int]) -> None:
    """Refuse a number that a plant was written down with, alive, gone or undone; the refusal says whose it is."""
    grafted = Event.objects.filter(kind="grafted", payload__code_number__in=list(numbers))
    holders = Plant.objects.filter(code_number__in=list(numbers)).select_related("cultivar")
    held = {plant.code_number: plant for plant in holders}
    known = {*held, *grafted.values_list("payload__code_number", flat=True)}
    used = next((number for number in numbers if number in known), None)
    if used is None:
        return
    whose = f": {_holder(plant)}" if (plant := held.get(used)) else ""
    remedy = say("Nothing is written down. Take another label; a code is never used again, not even of a graft that was undone.")
    raise Refused(
        say("a plant was written down with {grouped} before{whose}.", grouped=grouped(code_of(used)), whose=whose),
        where="codes",
        remedy=remedy,
    )


def _holder(plant: Plant) -> str:
    """Red Tarn 12, left by sale or gift since 2026-05-01."""
    since = say(" since {date}", date=plant.state_since.date().isoformat()) if plant.state_since else ""
    return f"{plant.spoken}, {plant.get_state_display()}{since}"
