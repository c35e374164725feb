"""The page on which a sheet is keyed in, in another language: its words are translated, what is sent stays the same."""

from __future__ import annotations

import calendar
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from django.utils.html import escape

from nursery_clock import today_at_nursery
from pseudo import CODE, OPEN, other_letters, rewrite, untranslated, write_pseudo_language
from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.paper import print_bench, print_dome_card, print_round
from scionary.answers.paper_slots import written_of
from scionary.book.commands import GraftSetup, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, Method, Nursery, PrintedSheet

pytestmark = pytest.mark.django_db

A_CODE = re.compile(r"\b[A-Z0-9]{3} [A-Z0-9]{3,4}\b")
KNOWN = frozenset([*calendar.month_name, *calendar.month_abbr, *calendar.day_abbr, "mm", "Scionary", "PDF"])
SPOKEN = {"accept-language": CODE}


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder)
    return folder


@pytest.fixture
def printed(settings: Any, catalogue: Path, cultivar: Cultivar, dome: Dome, nursery: Nursery) -> Callable[[str], PrintedSheet]:
    """Prints a sheet of that kind in English, of a book in other letters that is read in the pseudo-language."""
    settings.LOCALE_PATHS = [catalogue]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]
    now = timezone.now()
    today = today_at_nursery()
    write_grafts(GraftSetup(cultivar=cultivar.pk, happened_at=now - timedelta(days=40), dome=dome.pk), 3, now=now)
    rewrite(Cultivar, "spoken")
    rewrite(Dome, "name", "stands")
    rewrite(Nursery, "name")
    rewrite(Method, "name")

    def made(kind: str) -> PrintedSheet:
        if kind == "round":
            return print_round([dome.pk], today=today, now=now)
        if kind == "card":
            return print_dome_card(dome.pk, today=today, now=now)
        setting = BenchSetting(other_letters("Red Tarn"), today, dome=other_letters("Dome 1"))
        return print_bench(set_bench(setting, nursery=nursery, now=now, ident=uuid7()).bench.pk, 3, today=today, now=now)

    return made


@pytest.mark.parametrize("kind", ["round", "card", "bench"])
def test_a_sheet_printed_in_english_is_keyed_in_on_a_page_of_another_language(
    client: Client, printed: Callable[[str], PrintedSheet], kind: str
) -> None:
    sheet = printed(kind)
    page = client.get(f"/paper/{sheet.code}/", headers=SPOKEN).content.decode()
    assert OPEN in page
    for line in sheet.layout["text"].get("dates", []):
        page = page.replace(escape(line["what"]), "")  # said as it stands on the paper
    assert list(untranslated(A_CODE.sub("", page), KNOWN)) == []


def test_a_refused_row_is_found_and_a_cause_is_kept_by_its_english_words(client: Client, printed: Callable[[str], PrintedSheet]) -> None:
    sheet = printed("round")
    address, day = f"/paper/{sheet.code}/", today_at_nursery().isoformat()
    refused = client.post(address, {"day": day, "r2": ["firm", "lost"]}, headers=SPOKEN)
    assert refused.status_code == 422
    assert 'class="paper-row wrong" role="group" aria-labelledby="said-2"' in refused.content.decode()
    client.post(address, {"day": day, "r2": ["lost"], "c2": f"{OPEN}too dry\N{MATHEMATICAL RIGHT WHITE SQUARE BRACKET}"}, headers=SPOKEN)
    assert written_of(sheet).standing["r2:lost"].payload["cause"] == "too dry"
    assert f'value="{OPEN}too dry' in client.get(address, headers=SPOKEN).content.decode()
