"""Paper in another language: every text of the program is translated and fits; what is keyed follows ids, whatever the words."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils.translation import override

from pseudo import CODE, OPEN, longer, other_letters, rewrite, write_pseudo_language
from pseudo_paper import wrong
from scionary.answers.bag_label import bag_label_pdf
from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.labels import labels_pdf, plants_to_label
from scionary.answers.paper import print_bench, print_dome_card, print_round
from scionary.answers.paper_drawn import sheet_labels_pdf, sheet_pdf
from scionary.answers.paper_keying import key_sheet
from scionary.answers.paper_rows import rows_of
from scionary.answers.paper_ticks import BenchRow, Ticks, WholeDome
from scionary.answers.trial_sheet import trial_sheet_pdf
from scionary.answers.yard import bag_line
from scionary.book.bags import Cut, cut_scions
from scionary.book.commands import Written
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, Event, Method, MotherTree, Nursery, Plant, PrintedSheet, RootstockLot, Trial

pytestmark = pytest.mark.django_db

TODAY = date(2026, 2, 14)


@pytest.fixture(scope="module")
def catalogue(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder: Path = tmp_path_factory.mktemp("locale")
    write_pseudo_language(folder, longer)
    return folder


@pytest.fixture(autouse=True)
def tongue(settings: Any, catalogue: Path) -> None:
    settings.LOCALE_PATHS = [catalogue]
    settings.LANGUAGES = [(settings.LANGUAGE_CODE, "English"), (CODE, CODE)]


@pytest.fixture
def plants(graft: Callable[..., Written], dome: Dome, method: Method, lot: RootstockLot) -> list[Plant]:
    return graft(12, dome=dome.pk, method=method.pk, lot=lot.pk, places=tuple(range(1, 13))).plants


@pytest.fixture
def bench(cultivar: Cultivar, plants: list[Plant], nursery: Nursery, now: datetime) -> BenchDay:
    return set_bench(BenchSetting("Red Tarn", TODAY, dome="Dome 1"), nursery=nursery, now=now, ident=uuid7()).bench


@contextmanager
def other_letters_everywhere() -> Iterator[None]:
    """The pseudo-language, on a book in which nothing that a person named is in Latin letters."""
    rewrite(Cultivar, "spoken", "botanical", "trade_designation", "note")
    rewrite(Dome, "name", "stands", "note")
    rewrite(Method, "name", "note")
    for method in Method.objects.all():
        care = [{**step, "say": other_letters(step["say"]), "why": other_letters(step["why"])} for step in method.after_care]
        Method.objects.filter(pk=method.pk).update(after_care=care)
    rewrite(MotherTree, "name", "note")
    rewrite(Nursery, "name")
    rewrite(RootstockLot, "name", "note")
    rewrite(Trial, "name", "question", "arms", "note")
    for trial in Trial.objects.all():
        layout = [{**block, "name": other_letters(block["name"])} for block in trial.layout]
        Trial.objects.filter(pk=trial.pk).update(layout=layout)
    with override(CODE):
        yield


def test_every_sheet_is_printed_in_the_readers_language_and_fits(
    plants: list[Plant], dome: Dome, bench: BenchDay, trial: Callable[..., Trial], now: datetime
) -> None:
    kept = trial(question="Which holds better?", whole_dome=True)
    with other_letters_everywhere():
        sheets = [
            print_dome_card(dome.pk, today=TODAY, now=now),
            print_round([dome.pk], today=TODAY, now=now),
            print_bench(bench.pk, 24, today=TODAY, now=now),
        ]
        found = [words for sheet in sheets for words in wrong(sheet_pdf(sheet), sheet.kind)]
        found += wrong(trial_sheet_pdf(kept.pk, today=TODAY), "trial")
    assert found == [], "\n".join(found)


def test_labels_are_printed_in_the_readers_language(
    plants: list[Plant], tree: MotherTree, bench: BenchDay, nursery: Nursery, now: datetime
) -> None:
    cut = cut_scions(Cut(tree, 12, now - timedelta(hours=3), care="stalks_left", stands=""), nursery, now=now)
    with other_letters_everywhere():
        line = bag_line(cut.bag.pk, nursery, now=now)
        sheet = print_bench(bench.pk, 3, today=TODAY, now=now)
        found = [
            *wrong(bag_label_pdf(line, nursery=nursery, preset="single-100x50").pdf, "bag", 0.0),
            *wrong(labels_pdf(plants_to_label([plant.pk for plant in plants]), nursery=nursery, preset="single-100x50").pdf, "plant", 0.0),
            *wrong(sheet_labels_pdf(sheet, nursery), "ahead", 0.0),
        ]
    assert found == [], "\n".join(found)


@pytest.mark.parametrize("kind", ["round", "card", "bench"])
def test_a_sheet_printed_in_one_language_is_keyed_in_another(
    plants: list[Plant], dome: Dome, bench: BenchDay, nursery: Nursery, now: datetime, kind: str
) -> None:
    prints = {
        "round": lambda: print_round([dome.pk], today=TODAY, now=now),
        "card": lambda: print_dome_card(dome.pk, today=TODAY, now=now),
        "bench": lambda: print_bench(bench.pk, 3, today=TODAY, now=now),
    }
    with override(CODE):
        sheet = prints[kind]()
        paper = sheet_pdf(sheet)
        read = [box for row in rows_of(sheet) for box in row.boxes]
    assert all(OPEN in words for _, words in read)
    assert OPEN not in "".join(words for row in rows_of(sheet) for _, words in row.boxes)
    assert sheet_pdf(PrintedSheet.objects.get(pk=sheet.pk)) == paper  # the same paper, whoever asks for it
    ticks = {
        "round": Ticks(TODAY, rows={1: ["firm"], 2: ["lost"]}, causes={2: "too dry"}, domes={0: WholeDome(water=True, vents=33)}),
        "card": Ticks(TODAY, rows={1: ["unsure"]}),
        "bench": Ticks(TODAY, bench={1: BenchRow(made=True, blade="changed")}),
    }
    key_sheet(sheet, ticks[kind], nursery=nursery, now=now + timedelta(hours=3))
    written = Event.objects.filter(recorded_at__gt=now + timedelta(hours=2)).exclude(kind="edited").values_list("kind", flat=True)
    assert (
        sorted(written)
        == {
            "round": ["lost", "scored", "vented", "watered"],
            "card": ["scored"],
            "bench": ["blade_cleaned", "grafted"],
        }[kind]
    )
