"""Code numbers: each device leases a block; no number is ever issued twice, unused ones are never issued again."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction
from django.db.models import F, Max

from scionary.book.locks import lock_numbers
from scionary.book.models import CodeLease, Device
from scionary.book.patience import patiently
from scionary.errors import Refused

BLOCK = 200
LAST_NUMBER = 5_999_999
THIS_MACHINE = "this machine"


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
            raise Refused("all code numbers have been issued.", where="codes", remedy="Start a new book for new plants.")
        return CodeLease.objects.create(device=device, first=last, count=count, leased_at=now)
