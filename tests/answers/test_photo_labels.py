"""Labels in photographs: what the book says to each symbol."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from files.test_photos import saved, symbol
from scionary.answers.find import Found, find, find_codes
from scionary.answers.photo_labels import PhotoFile, SeenLabel, labels_of, read_labels
from scionary.book.commands import Written, correct
from scionary.book.models import Cultivar, Dome, Plant
from scionary.errors import Refused
from scionary.limits import LIMITS
from scionary.names import code_of

pytestmark = pytest.mark.django_db


def code(plant: Plant) -> str:
    return code_of(plant.code_number or 0)


def sent(name: str, *texts: str) -> PhotoFile:
    """A photograph of some symbols in a row."""
    wall = Image.new("L", (260 * max(len(texts), 1), 300), 200)
    for place, text in enumerate(texts):
        wall.paste(symbol(text, 5), (260 * place + 20, 40))
    data = saved(wall, "JPEG")
    return PhotoFile(name, len(data), lambda: data)


def only(text: str) -> SeenLabel:
    (label,) = labels_of([text])
    return label


def test_each_label_comes_with_its_plant_in_reading_order(graft: Callable[..., Written]) -> None:
    plants = graft(3).plants
    answer = read_labels([sent("row.jpg", *(code(plants[place]) for place in (2, 0, 1)))])
    assert [label.plant.spoken for label in answer.labels if label.plant] == ["Red Tarn 3", "Red Tarn 1", "Red Tarn 2"]
    assert answer.photos == (("row.jpg", 3),)
    assert answer.words == "3 labels read, 3 plants found."


def test_a_label_seen_twice_is_one_line(plant: Plant) -> None:
    answer = read_labels([sent("a.jpg", code(plant), code(plant)), sent("b.jpg", code(plant))])
    assert [(label.text, label.times) for label in answer.labels] == [(code(plant), 3)]
    assert answer.words == "1 label read, 1 plant found."


@pytest.mark.parametrize(("kind", "payload", "said"), [("lost", {}, "was recorded as lost"), ("left", {"how": "gift"}, "was given away")])
def test_the_label_of_a_plant_that_is_gone_says_so_first(plant: Plant, write: Any, kind: str, payload: dict[str, str], said: str) -> None:
    write(kind, plant, days=1, **payload)
    label = only(code(plant))
    assert label.words.startswith(f"CAUTION: Red Tarn 1 {said} on 15 Feb 2026.")
    answer = read_labels([sent("a.jpg", code(plant))])
    assert [(gone.spoken, len(gone.steps)) for gone in answer.gone] == [("Red Tarn 1", 2)]


def test_a_code_of_another_book_is_told_from_one_that_is_set_aside(plant: Plant) -> None:
    assert "It was never issued by this book: is the label from another nursery?" in only(code_of(5_000_000)).words


def test_two_plants_with_one_code_are_both_shown(graft: Callable[..., Written], now: datetime) -> None:
    made = graft(2)
    correct(made.events[1], {"code_number": made.plants[0].code_number}, now=now)
    label = only(code(made.plants[0]))
    assert label.plant is None
    assert {plant.spoken for plant in label.plants} == {"Red Tarn 1", "Red Tarn 2"}
    assert "2 plants carry this code, which must not be" in label.words


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "https://bad.example/plants/7KQ2M9X/",
        "Red Tarn 1",
        "7kq2m9x",
        "7KQ2M9?",
        "\x00\x1b[31m",
        "4006381333931",
    ],
)
def test_what_is_no_code_of_ours_is_never_looked_up_as_one(plant: Plant, text: str) -> None:
    label = only(text)
    assert (label.answer, label.plants, label.code) == (None, (), "")
    assert "is no code of a plant" in label.words
    assert label.words.isprintable()


def test_a_strangers_text_is_shown_no_longer_than_a_line(nursery: object) -> None:
    assert only("x" * 4000).text == "x" * 79 + "…"
    assert only("\u202egnirts").text == "\N{REPLACEMENT CHARACTER}gnirts"


def test_the_card_of_a_dome_leads_to_the_dome(dome: Dome) -> None:
    assert (only("Dome 1").dome, only("Dome 1").words) == (dome.pk, "Dome 1: the card of a dome.")


def test_a_code_is_never_taken_for_a_name(plant: Plant, cultivar: Cultivar, graft: Callable[..., Written]) -> None:
    Cultivar.objects.filter(pk=cultivar.pk).update(spoken=code(plant))
    try:
        assert find(code(plant)).status is Found.SEVERAL or find(code(plant)).by == "name"
        assert find_codes([code(plant)])[0].status is Found.EXACT
    finally:
        Cultivar.objects.filter(pk=cultivar.pk).update(spoken="Red Tarn")


def test_a_sheet_is_looked_up_in_few_queries(graft: Callable[..., Written]) -> None:
    codes = [code(plant) for plant in graft(30).plants]
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert all(label.plant for label in labels_of(codes))
    assert len(asked) < 10


def test_one_photo_that_cannot_be_read_does_not_hide_the_others(plant: Plant) -> None:
    answer = read_labels([PhotoFile("notes.txt", 5, lambda: b"notes"), sent("a.jpg", code(plant)), sent("bark.jpg")])
    assert [str(problem) for problem in answer.problems] == ["notes.txt: this is no picture that can be read. Give a JPEG, PNG or WebP."]
    assert answer.words == "1 label read, 1 plant found. None in bark.jpg."


def test_a_file_that_is_too_large_is_not_even_read(nursery: object) -> None:
    answer = read_labels([PhotoFile("big.jpg", 40_000_000, lambda: pytest.fail("it was read"))])
    assert "big.jpg: the picture has 40.0 MB" in str(answer.problems[0])
    assert answer.words == "No photo could be read."


def test_no_symbol_is_said_so(nursery: object) -> None:
    assert read_labels([sent("bark.jpg")]).words == "No label was found."


def test_more_photos_than_are_read_at_once_are_refused(nursery: object) -> None:
    with pytest.raises(Refused, match=f"9 photos at once. Send at most {LIMITS['photo_count']}"):
        read_labels([PhotoFile("a", 1, lambda: pytest.fail("it was read"))] * 9)


def test_it_can_be_told_as_json(plant: Plant) -> None:
    told = read_labels([sent("a.jpg", code(plant), "elsewhere")]).to_dict()
    assert [(label["text"], label["answer"] is None) for label in told["labels"]] == [(code(plant), False), ("elsewhere", True)]
    assert told["words"] == "1 label read, 1 plant found. 1 symbol beside them: no code of a plant."
