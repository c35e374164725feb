"""What is printed from pages without being kept, in a language that nobody speaks: trays, weeks, the gauge card, how to join, pairs."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from django.test import Client

from pseudo import CODE, longer, rewrite, write_pseudo_language
from pseudo_paper import MARGIN, wrong
from scionary.answers.schedule_kept import keep_schedule
from scionary.book.models import Method, Nursery
from web.made_schedule import NOW, SEASON, in_figures

pytestmark = pytest.mark.django_db

BEYOND = -10_000.0  # each page shows a part of a tray that is larger than the paper
TRAY = "length=540&width=280&pot=165&shape=round&other=98&cover=180&scion=90"
PAIRS = {"scions": "3\n2 x 20!", "stocks": "7\n8\n?", "unit": "mm", "method": "side_veneer"}


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder, longer)
    return folder


@pytest.fixture
def reader(client: Client, settings: Any, catalogue: Path, nursery: Nursery) -> Client:
    """Somebody who reads the pseudo-language, with a book in other letters."""
    settings.LOCALE_PATHS = [catalogue]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
    rewrite(Nursery, "name")
    rewrite(Method, "name", "note")
    client.defaults["HTTP_ACCEPT_LANGUAGE"] = CODE
    return client


def pdf(answer: Any) -> bytes:
    assert (answer.status_code, answer["content-type"]) == (200, "application/pdf"), answer.content[:500]
    return b"".join(answer.streaming_content) if answer.streaming else answer.content


@pytest.mark.parametrize(
    ("address", "margin"),
    [
        (f"/plan/tray/print/?{TRAY}", MARGIN),
        (f"/plan/tray/print/?{TRAY}&size=full", BEYOND),
        ("/bench/join/gauge.pdf", 0.0),
        ("/bench/join/sheet.pdf?stock=7&scion=3&unit=mm&method=side_veneer", MARGIN),
        ("/bench/join/sheet.pdf?stock=12&scion=4&unit=mm&method=cleft&stage=dormant", MARGIN),
        ("/bench/join/sheet.pdf?stock=8&scion=7&unit=mm&method=saddle&skill=beginner", MARGIN),
    ],
)
def test_what_is_asked_for_by_its_address_is_printed_in_the_readers_language(reader: Client, address: str, margin: float) -> None:
    assert wrong(pdf(reader.get(address)), address, margin) == []


def test_the_weeks_and_their_lists_are_printed_in_the_readers_language(reader: Client) -> None:
    keep_schedule(in_figures(), now=NOW)
    assert wrong(pdf(reader.get(f"/plan/weeks/lists/print/?season={SEASON}")), "weeks") == []


def test_pairs_of_stems_are_printed_in_the_readers_language(reader: Client) -> None:
    assert wrong(pdf(reader.post("/bench/match/list.pdf", PAIRS)), "pairs") == []
