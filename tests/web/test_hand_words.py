"""The texts of scripts in the reader's language: these and no others, with the forms of numbers, and kept on the phone."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from babel.messages.catalog import Catalog
from babel.messages.mofile import write_mo
from catalogue import gathered, of_scripts
from django.test import Client

from pseudo import CLOSE, CODE, OPEN, write_pseudo_language
from scionary.book.models import Cultivar, Event
from web.phones import Phone, grafted

SLAVIC = "pl"
FORMS = ["{count} szczep", "{count} szczepy", "{count} szczepów"]


@pytest.fixture(scope="module")
def locale(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The pseudo-language, and a real one with three forms of a number."""
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder)
    catalogue = Catalog(locale=SLAVIC)
    catalogue.add(("{count} plant", "{count} plants"), FORMS)
    place = folder / SLAVIC / "LC_MESSAGES"
    place.mkdir(parents=True)
    with (place / "django.mo").open("wb") as out:
        write_mo(out, catalogue)
    return folder


@pytest.fixture
def tongues(settings: Any, locale: Path) -> None:
    settings.LOCALE_PATHS = [locale]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE), (SLAVIC, SLAVIC)]


def words(client: Client, language: str) -> Any:
    return client.get("/hand/words.json", headers={"accept-language": language}).json()


def version(client: Client, language: str) -> str:
    found = re.match(r'self\.KEPT = \{"version": "(\w+)"', client.get("/sw.js", headers={"accept-language": language}).content.decode())
    assert found
    return found[1]


def test_english_needs_no_catalogue(client: Client, db: None) -> None:
    assert words(client, "en") == {"texts": {}, "numbers": {}, "rules": []}


def test_the_texts_of_scripts_are_sent_and_no_others(client: Client, db: None, tongues: None) -> None:
    told = words(client, CODE)
    assert told["texts"]["All is sent."] == f"{OPEN}All is sent.{CLOSE}"
    assert told["numbers"]["{count} plant"][0] == [f"{OPEN}{{count}} plant{CLOSE}", f"{OPEN}{{count}} plants{CLOSE}"]
    listed = of_scripts(gathered())
    assert set(told["texts"]) == {each if isinstance(each, str) else each[0] for each in listed}
    assert set(told["numbers"]) == {each[0] for each in listed if not isinstance(each, str)}


def test_each_number_has_its_form(client: Client, db: None, tongues: None) -> None:
    told = words(client, SLAVIC)
    forms, rule = told["numbers"]["{count} plant"]
    asked = (1, 2, 4, 5, 11, 12, 14, 21, 22, 25, 102, 112, 122)
    said = [forms[int(told["rules"][rule][count])] for count in asked]
    assert said == [FORMS[at] for at in (0, 1, 1, 2, 2, 2, 2, 2, 1, 2, 1, 2, 1)]


def test_the_frame_and_the_worker_are_those_of_the_language(client: Client, db: None, tongues: None) -> None:
    frame = client.get("/hand/", headers={"accept-language": CODE}).content.decode()
    address = re.search(r'<html lang="xx" data-words="([^"]+)">', frame)
    assert address
    assert address[1] in client.get("/sw.js", headers={"accept-language": CODE}).content.decode()
    assert len({version(client, language) for language in ("en", CODE, SLAVIC)}) == 3
    assert '<html lang="en-GB"' in client.get("/hand/", headers={"accept-language": "en"}).content.decode()


def test_a_record_sent_again_in_another_language_is_the_same(phone: Phone, cultivar: Cultivar, tongues: None) -> None:
    sent = grafted(cultivar.pk, 1, code_number=4_000_000)
    phone.client.defaults["HTTP_ACCEPT_LANGUAGE"] = CODE
    assert phone.statuses(sent) == ["recorded"]
    assert OPEN not in Event.objects.get(pk=sent["id"]).payload["note"]
    phone.client.defaults["HTTP_ACCEPT_LANGUAGE"] = "en"
    assert phone.statuses(sent) == ["repeated"]


def test_the_catalogue_of_scripts_is_no_secret_of_the_book(client: Client, db: None, settings: Any) -> None:
    settings.LOGIN_REQUIRED = True
    assert json.loads(client.get("/hand/words.json").content)["texts"] == {}
