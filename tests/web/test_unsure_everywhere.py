"""Wherever a plant is shown: that its name is inferred or in doubt, or that it stands in quarantine, stands beside it."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.dome_card import dome_card_pdf
from scionary.book.commands import GraftSetup, save_noun, write_event, write_grafts
from scionary.book.export import export
from scionary.book.models import BenchDay, Cultivar, Dome, Nursery, Plant
from scionary.cli import main
from web.rendered import check_page

pytestmark = pytest.mark.django_db
INFERRED, DOUBTED, APART = "name inferred, 0.93", "name in doubt", "in quarantine"
ALL = (INFERRED, DOUBTED, APART)


@pytest.fixture
def plants(cultivar: Cultivar, dome: Dome, nursery: Nursery) -> list[Plant]:
    """Red Tarn 1 to 4 in a dome, made at one bench: inferred, doubted, set apart, and one of which all is sure."""
    now = (timezone.now() - timedelta(days=12)).replace(hour=12)  # one day in every zone
    bench = save_noun(BenchDay, {"day": now.date(), "cultivar": cultivar, "dome": dome}, now=now)
    made = write_grafts(GraftSetup(cultivar.pk, now, dome=dome.pk, bench=bench.pk), 4, now=now).plants
    said = (("name_inferred", {"chance": 0.93}), ("name_doubted", {"reason": "redder"}), ("quarantined", {"reason": "dark spots"}))
    for plant, (kind, payload) in zip(made, said, strict=False):
        write_event(kind, plant.key, payload, happened_at=now + timedelta(days=1), now=now + timedelta(days=1))
    return made


def _words(pdf: bytes) -> str:
    pages = pypdfium2.PdfDocument(pdf)
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pages).split())


def _missing(text: str, wanted: tuple[str, ...] = ALL) -> list[str]:
    return [words for words in wanted if words not in text]


@pytest.mark.parametrize(
    "address",
    [
        "/plants/",
        "/plants/?pick=1",
        "/plants/?q=Red+Tarn",
        "/plants/?state=all",
        "/plants/nameless/?name=tarn",
        "/domes/{dome}/",
        "/domes/{dome}/round/",
        "/bench/{bench}/",
    ],
)
def test_every_page_that_lists_plants_says_it(client: Client, plants: list[Plant], dome: Dome, address: str) -> None:
    text = check_page(client.get(address.format(dome=dome.pk, bench=BenchDay.objects.get().pk)))
    assert _missing(text) == []
    assert "Red Tarn 4" in text


def test_the_drawn_tray_marks_them_and_its_table_says_it(client: Client, plants: list[Plant], dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert text.count('class="pot unsure"') == 3
    table = text.split("The tray as a table")[1].split("</table>")[0]
    assert _missing(table) == []


@pytest.mark.parametrize(("number", "words"), list(enumerate(ALL)))
def test_its_own_pages_say_it(client: Client, plants: list[Plant], number: int, words: str) -> None:
    here = f"/plants/{plants[number].pk}/"
    said = {INFERRED: "The name is inferred, 0.93.", DOUBTED: "Its name is in doubt since", APART: "It stands in quarantine since"}
    assert said[words] in check_page(client.get(here))
    assert words in check_page(client.get(f"{here}write/moved/")).replace("Name in", "name in").replace("In quar", "in quar")


def test_a_form_about_several_says_it(client: Client, plants: list[Plant]) -> None:
    assert _missing(check_page(client.post("/plants/several/", {"kind": "moved", "plant": [str(plant.pk) for plant in plants]}))) == []


def test_due_says_it_where_it_names_plants(client: Client, plants: list[Plant]) -> None:
    lately = timezone.now() - timedelta(days=1)
    for plant in plants:
        write_event("relabelled", plant.key, {"medium": "ordinary marker"}, happened_at=lately - timedelta(days=900), now=lately)
    assert _missing(check_page(client.get("/due/"))) == []


def test_a_label_says_what_its_name_rests_on_and_the_page_before_printing_that_it_stands_apart(client: Client, plants: list[Plant]) -> None:
    labels = [_words(client.get(f"/plants/{plant.pk}/labels.pdf").content) for plant in plants]
    assert INFERRED in labels[0]
    assert DOUBTED in labels[1]
    assert _missing(" ".join(labels[2:]), (INFERRED, DOUBTED)) == [INFERRED, DOUBTED]
    assert "Red Tarn 3: in quarantine. Its label does not say so" in check_page(client.get(f"/bench/{BenchDay.objects.get().pk}/"))


def test_the_list_to_write_labels_by_hand_says_it(client: Client, plants: list[Plant]) -> None:
    listed = client.get(f"/bench/labels/{BenchDay.objects.get().day.isoformat()}.pdf?list=1")
    assert _missing(_words(listed.content)) == []


def test_the_card_on_the_dome_marks_them_and_says_it(plants: list[Plant], dome: Dome) -> None:
    card = _words(dome_card_pdf(dome.pk, today=today_at_nursery()))
    assert "Red Tarn 1: name inferred, 0.93. Red Tarn 2: name in doubt. Red Tarn 3: in quarantine." in card
    assert card.count("*") == 4  # one behind each name, and one that says what it means


def test_a_card_without_any_has_no_star(graft: Callable[..., Any], dome: Dome) -> None:
    graft(2, dome=dome.pk)
    assert "*" not in _words(dome_card_pdf(dome.pk, today=today_at_nursery()))


def test_the_exported_table_says_it_in_columns_of_their_own(plants: list[Plant], tmp_path: Path) -> None:
    export(tmp_path, now=timezone.now())
    rows = list(csv.DictReader(io.StringIO((tmp_path / "plants.csv").read_text(encoding="utf-8-sig"))))
    assert [(row["name is"], row["name in doubt"], row["in quarantine"]) for row in rows] == [
        ("inferred, 0.93", "", ""),
        ("as labelled", "redder", ""),
        ("as labelled", "", "dark spots"),
        ("as labelled", "", ""),
    ]


@pytest.mark.parametrize(
    "typed",
    [
        ("find", "Red Tarn"),
        ("find", "Red Tarn", "--json"),
        ("find", "--nameless", "--name", "tarn"),
        ("find", "--nameless", "--name", "tarn", "--json"),
        ("round", "Dome 1"),
        ("round", "Dome 1", "--json"),
    ],
)
def test_the_terminal_says_it(plants: list[Plant], capsys: pytest.CaptureFixture[str], typed: tuple[str, ...]) -> None:
    with pytest.raises(SystemExit) as ended:
        main(typed)
    assert ended.value.code == 0
    assert _missing(capsys.readouterr().out) == []
