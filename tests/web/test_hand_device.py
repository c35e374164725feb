"""A phone gets a name and a token from somebody whom the book knows, and codes for labels with it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from django.contrib.auth import get_user_model
from django.test import Client

from scionary.book.leases import BLOCK
from scionary.book.models import CodeLease, Device, Nursery
from scionary.names import code_of
from web.phones import Phone

pytestmark = pytest.mark.django_db


def test_a_phone_on_its_own_machine_gets_a_name_and_a_token_once(nursery: Nursery) -> None:
    phone = Phone()
    answer = phone.post("/hand/device/", {"name": "Mara's phone"})
    told = answer.json()
    device = Device.objects.get()
    assert answer.status_code == 201
    assert (told["name"], told["device"], answer["Cache-Control"]) == ("Mara's phone", str(device.pk), "no-store")
    assert len(told["token"]) >= 43
    assert told["token"] not in json.dumps(list(Device.objects.values()), default=str)
    phone.token = told["token"]
    assert phone.data()["codes"] == []


def test_another_sites_page_cannot_name_a_phone(nursery: Nursery) -> None:
    bare = Client(enforce_csrf_checks=True)
    answer = bare.post("/hand/device/", '{"name": "x"}', content_type="application/json")
    assert (answer.status_code, answer["Content-Type"]) == (403, "application/json")
    assert "a page of this book" in answer.json()["words"]
    assert not Device.objects.exists()


def test_beyond_this_machine_somebody_must_have_signed_in(nursery: Nursery, settings: Any) -> None:
    settings.LOGIN_REQUIRED = True
    phone = Phone()
    answer = phone.post("/hand/device/", {"name": "x"})
    assert (answer.status_code, answer.json()["words"]) == (401, "Sign in to the book first.")
    ida = get_user_model().objects.create_user("ida", password="a long word for tests")
    phone.client.force_login(ida)
    assert phone.post("/hand/device/", {"name": "hers"}).status_code == 201
    assert Device.objects.get().user == ida


@pytest.mark.parametrize("name", [None, "", 7, ["x"], "a" * 61, "this machine"])
def test_a_name_that_cannot_be_is_said_in_words(nursery: Nursery, name: Any) -> None:
    answer = Phone().post("/hand/device/", {"name": name})
    assert answer.status_code == 422
    assert "name" in answer.json()["words"]
    assert not Device.objects.exists()


def test_a_name_in_use_is_said_in_words(phone: Phone) -> None:
    answer = Phone().post("/hand/device/", {"name": "mara's PHONE"})
    assert answer.status_code == 422
    assert answer.json()["words"].startswith("A phone called Mara's phone is in use (name). Give another name.")


def test_codes_come_as_numbers_with_what_a_person_writes(phone: Phone) -> None:
    codes = phone.post("/hand/lease/", {}).json()["codes"]
    assert codes == [{"number": number, "code": code_of(number)} for number in range(BLOCK)]
    assert CodeLease.objects.get().device.name == "Mara's phone"


def test_codes_are_leased_to_known_phones_only(nursery: Nursery) -> None:
    answer = Phone(token="wrong").post("/hand/lease/", {})
    assert (answer.status_code, CodeLease.objects.count()) == (401, 0)
