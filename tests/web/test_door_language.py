"""What the doors of a phone say, in a language that nobody speaks: refusals, what is wrong with a record, flags."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from pseudo import CODE, OPEN, outside, rewrite, write_pseudo_language
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Device, Dome, Plant
from scionary.book.phones import end_phone
from scionary.limits import LIMITS
from web.phones import Phone, event, grafted


@pytest.fixture(scope="module")
def locale(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder)
    return folder


@pytest.fixture
def reader(phone: Phone, settings: Any, locale: Path, cultivar: Cultivar, dome: Dome) -> Phone:
    """A phone whose browser asks for the pseudo-language."""
    settings.LOCALE_PATHS = [locale]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
    rewrite(Cultivar, "spoken")
    rewrite(Dome, "name", "stands")
    phone.client.defaults["HTTP_ACCEPT_LANGUAGE"] = CODE
    return phone


def english(words: str) -> bool:
    """Whether nothing of it passed through the catalogue, or some of it did not."""
    return OPEN not in words or any(letter.isascii() and letter.isalpha() for letter in outside(words))


def refusals(phone: Phone, plant: Plant) -> Iterator[Any]:
    """An answer for each way in which a door is closed."""
    many = [event("observed", plant.key, seen="unchanged")] * (LIMITS["hand_events"] + 1)
    for body in ("{", "[]", '{"events": {}}', {"events": many}, "x" * (LIMITS["hand_bytes"] + 1)):
        yield phone.post("/hand/events/", body)
    yield from (phone.get(f"/hand/{door}/") for door in ("events", "lease", "device"))
    yield phone.post("/hand/data/", {})
    yield phone.get("/hand/7/")
    yield from (Phone(client=phone.client).post("/hand/device/", {"name": name}) for name in ("", "7" * 100, 7, phone.name))
    for door in ("events", "lease"):
        yield Phone(token="7", client=phone.client).post(f"/hand/{door}/", {})
    yield Client(enforce_csrf_checks=True, HTTP_ACCEPT_LANGUAGE=CODE).post("/hand/device/", "{}", content_type="application/json")


def records(cultivar: Cultivar, plant: Plant, dome: Dome) -> list[Any]:
    """Records that the book refuses, flags or has to wait with."""
    return [
        7,
        {},
        event("7", plant.key),
        event("observed", plant.key, at="7", seen="unchanged"),
        event("observed", plant.key, seen="7"),
        event("observed", plant.key, ident="7", seen="unchanged"),
        event("observed", "7", seen="unchanged"),
        event("observed", seen="unchanged"),
        event("observed", plant.key, at="2999-01-01T10:00:00Z", seen="unchanged"),
        event("scored", plant.key, sign="firm", answer="7"),
        event("scored", f"plant:{uuid7()}", sign="firm", answer="yes"),
        event("vented", dome.key, open_pct=700),
        event("watered", f"dome:{uuid7()}"),
        event("moved", plant.key, dome=str(uuid7()), place=7),
        grafted(uuid7(), 7),
        grafted(cultivar.pk, 7, stock_mm=7000),
        grafted(cultivar.pk, plant.running_number),
        event("left", plant.key, how="sale", at="2026-02-14T09:00:00Z"),
        event("scored", plant.key, sign="firm", answer="yes"),
        {**event("observed", plant.key, seen="unchanged"), "clock_offset_s": "7"},
    ]


def test_a_closed_door_says_why_in_the_readers_language(reader: Phone, plant: Plant) -> None:
    answers = list(refusals(reader, plant))
    assert [answer.content for answer in answers if answer.status_code < 400] == []
    assert [words for answer in answers if english(words := answer.json()["words"])] == []


def test_an_ended_phone_and_a_stranger_are_told_in_their_language(reader: Phone, settings: Any) -> None:
    end_phone(Device.objects.get(name=reader.name).pk, now=datetime.now(UTC))
    assert not english(reader.post("/hand/events/", {"events": []}).json()["words"])
    settings.LOGIN_REQUIRED = True
    assert not english(Client(HTTP_ACCEPT_LANGUAGE=CODE).get("/hand/data/").json()["words"])


def test_what_is_wrong_with_a_record_and_its_flags_are_said_in_the_readers_language(
    reader: Phone, cultivar: Cultivar, plant: Plant, dome: Dome
) -> None:
    answers = reader.send(*records(cultivar, plant, dome))
    said = [words for answer in answers for words in (answer["words"], *answer["flags"]) if words]
    assert len(said) > 15
    assert [words for words in said if english(words)] == []
