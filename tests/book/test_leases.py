"""Code numbers: no number is ever issued twice."""

from __future__ import annotations

import threading
from datetime import datetime

import pytest
from django.db import connection
from django.db.models import F

from scionary.book.leases import BLOCK, LAST_NUMBER, take_numbers
from scionary.book.models import CodeLease, Device, Nursery
from scionary.errors import Refused


def test_numbers_begin_at_zero_and_follow_one_another(nursery: Nursery, now: datetime) -> None:
    assert take_numbers("phone", 3, now=now) == [0, 1, 2]
    assert take_numbers("phone", 2, now=now) == [3, 4]


def test_two_devices_number_from_blocks_of_their_own(nursery: Nursery, now: datetime) -> None:
    phone, laptop = take_numbers("phone", 3, now=now), take_numbers("laptop", 3, now=now)
    assert laptop == [BLOCK, BLOCK + 1, BLOCK + 2]
    assert not set(phone) & set(laptop)


def test_a_spent_block_is_followed_by_a_new_one(nursery: Nursery, now: datetime) -> None:
    take_numbers("laptop", 1, now=now)
    numbers = take_numbers("phone", BLOCK + 5, now=now)
    assert numbers == [*range(BLOCK, 2 * BLOCK), *range(2 * BLOCK, 2 * BLOCK + 5)]
    assert CodeLease.objects.filter(used__lt=F("count")).count() == 2


def test_the_last_numbers_are_not_exceeded(nursery: Nursery, now: datetime) -> None:
    device = Device.objects.create(name="old phone", added_at=now)
    CodeLease.objects.create(device=device, first=0, count=LAST_NUMBER - BLOCK + 1, used=LAST_NUMBER - BLOCK + 1, leased_at=now)
    assert take_numbers("phone", BLOCK, now=now)[-1] == LAST_NUMBER
    with pytest.raises(Refused, match="all code numbers have been issued"):
        take_numbers("phone", 1, now=now)


@pytest.mark.django_db(transaction=True)
def test_writers_at_the_same_time_never_share_a_number(now: datetime) -> None:
    taken: list[list[int]] = []

    def take(name: str) -> None:
        try:
            taken.extend(take_numbers(name, 7, now=now) for _ in range(10))
        finally:
            connection.close()

    threads = [threading.Thread(target=take, args=(name,)) for name in ("phone", "phone", "laptop", "tablet")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    numbers = [number for some in taken for number in some]
    assert len(numbers) == len(set(numbers)) == 4 * 10 * 7
