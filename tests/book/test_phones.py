"""Phones: a name, a token that is told once, and numbers for labels that nobody else gets."""

from __future__ import annotations

import threading
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.db import connection

from scionary.book.leases import BLOCK, take_numbers
from scionary.book.models import CodeLease, Device, Nursery
from scionary.book.phones import codes_at_hand, digest, end_phone, lease_codes, leased_to_a_phone, name_phone, phone_of, phones, spend
from scionary.errors import Refused, UnknownSubject


def test_a_token_opens_the_door_and_only_its_digest_is_kept(nursery: Nursery, now: datetime) -> None:
    named = name_phone("  Mara's \n phone ", now=now)
    assert named.device.name == "Mara's phone"
    assert len(named.token) >= 43
    assert named.token not in str(list(Device.objects.values()))
    assert phone_of(named.token) == named.device
    assert [phone_of(wrong) for wrong in ("", "x", named.token[:-1], digest(named.token), "\ud800")] == [None] * 5


@pytest.mark.parametrize("name", ["", "   ", "\u200e", "a" * 61, "This machine", "labels printed AHEAD"])
def test_a_name_that_cannot_be_is_refused_and_no_phone_is_kept(nursery: Nursery, now: datetime, name: str) -> None:
    with pytest.raises(Refused, match="name"):
        name_phone(name, now=now)
    assert Device.objects.count() == 0


def test_a_name_in_use_is_not_given_to_another_phone(nursery: Nursery, now: datetime) -> None:
    first = name_phone("Mara's phone", now=now)
    with pytest.raises(Refused, match=r"a phone called Mara's phone is in use.*end it in the book"):
        name_phone("MARA'S PHONE", now=now)
    assert phone_of(first.token) == first.device


def test_a_phone_that_shows_its_token_may_be_named_again(nursery: Nursery, now: datetime) -> None:
    first = name_phone("Mara's phone", now=now)
    again = name_phone("mara's phone", now=now, token=first.token)
    assert (again.device.pk, again.device.name) == (first.device.pk, "Mara's phone")
    assert (phone_of(first.token), phone_of(again.token)) == (None, first.device)


def test_an_ended_phone_is_not_known_and_its_numbers_go_to_nobody(nursery: Nursery, now: datetime) -> None:
    lost = name_phone("lost", now=now)
    held = lease_codes(lost.device, now=now)
    spend(held[2])
    assert end_phone(lost.device.pk, now=now).ended_at == now
    assert end_phone(lost.device.pk, now=now + timedelta(days=1)).ended_at == now
    assert phone_of(lost.token) is None
    other = lease_codes(name_phone("other", now=now).device, now=now)
    again = name_phone("lost", now=now + timedelta(days=2))
    assert again.device == lost.device
    assert phone_of(again.token) == lost.device
    taken = {*other, *lease_codes(again.device, now=now), *take_numbers("", 2 * BLOCK, now=now), *take_numbers("lost", 5, now=now)}
    assert not taken & set(held)
    assert all(leased_to_a_phone(number) for number in held), "what is written on a label of the lost phone is still its own"


def test_a_phone_that_is_none_cannot_be_ended(nursery: Nursery, now: datetime) -> None:
    take_numbers("", 1, now=now)
    assert list(phones()) == []
    with pytest.raises(UnknownSubject, match="no such phone"):
        end_phone(Device.objects.get().pk, now=now)


def test_a_lease_asked_for_again_is_the_same_until_numbers_are_spent(nursery: Nursery, now: datetime) -> None:
    phone = name_phone("phone", now=now).device
    first = lease_codes(phone, now=now)
    assert first == list(range(BLOCK)) == lease_codes(phone, now=now)
    spend(49)
    spend(20)
    assert codes_at_hand(phone) == list(range(50, BLOCK))
    assert lease_codes(phone, now=now) == list(range(50, 2 * BLOCK))
    assert CodeLease.objects.count() == 2


def test_numbers_of_the_pages_and_of_labels_not_printed_yet_are_no_phones(nursery: Nursery, now: datetime) -> None:
    take_numbers("", 3, now=now)
    take_numbers("labels printed ahead", 2, now=now)
    assert [leased_to_a_phone(number) for number in (0, BLOCK, BLOCK + 1, BLOCK + 2, 5 * BLOCK)] == [False, True, True, False, False]
    spend(BLOCK + 150)
    assert take_numbers("labels printed ahead", 1, now=now) == [BLOCK + 2]


def test_beyond_this_machine_a_phone_is_known_as_long_as_its_account_is_open(nursery: Nursery, now: datetime, settings: Any) -> None:
    ida = get_user_model().objects.create_user("ida")
    hers, nobodys = name_phone("hers", now=now, user=ida).token, name_phone("nobody's", now=now).token
    assert phone_of(nobodys) is not None
    settings.LOGIN_REQUIRED = True
    assert phone_of(hers) is not None
    assert phone_of(nobodys) is None
    ida.is_active = False
    ida.save()
    assert phone_of(hers) is None


@pytest.mark.django_db(transaction=True)
def test_phones_that_ask_at_the_same_moment_get_numbers_of_their_own_and_one_gets_the_name(now: datetime) -> None:
    held: dict[int, list[int]] = {}
    refused: list[str] = []

    def ask(which: int) -> None:
        try:
            held[which] = lease_codes(name_phone(f"phone {which % 4}", now=now).device, now=now)
        except Refused as refusal:
            refused.append(str(refusal))
        finally:
            connection.close()

    threads = [threading.Thread(target=ask, args=(which,)) for which in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    numbers = [number for some in held.values() for number in some]
    assert len(refused) == len(held) == 4
    assert len(numbers) == len(set(numbers)) == 4 * BLOCK
