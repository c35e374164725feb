"""`scionary find --photo`: labels in photographs, at the terminal."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from answers.test_photo_labels import code, sent
from scionary.book.models import Plant
from scionary.names import code_of, grouped

pytestmark = pytest.mark.django_db
Scionary = Callable[..., Any]


def photo(folder: Path, name: str, *texts: str) -> str:
    path = folder / name
    path.write_bytes(sent(name, *texts).read())
    return str(path)


def test_each_label_is_listed_in_reading_order(scionary: Scionary, graft: Callable[..., Any], tmp_path: Path) -> None:
    first, second = graft(2).plants
    done = scionary("find", "--photo", photo(tmp_path, "row.jpg", code(second), code(first)))
    assert done.code == 0
    assert "2 labels read, 2 plants found." in done.out
    assert done.out.index("Red Tarn 2") < done.out.index("Red Tarn 1")
    assert grouped(code(first)) in done.out


def test_several_photos_may_be_named_as_json(scionary: Scionary, graft: Callable[..., Any], tmp_path: Path) -> None:
    first, second = graft(2).plants
    names = [photo(tmp_path, f"{place}.jpg", code(plant)) for place, plant in enumerate((first, second))]
    told = json.loads(scionary("find", "--photo", *names, "--json").out)
    assert [label["text"] for label in told["labels"]] == [code(first), code(second)]
    assert [seen["symbols"] for seen in told["photos"]] == [1, 1]


def test_what_leads_to_no_plant_is_code_1_and_says_why(scionary: Scionary, plant: Plant, tmp_path: Path) -> None:
    none = scionary("find", "--photo", photo(tmp_path, "bark.jpg"))
    assert (none.code, "No label was found." in none.out, "Go nearer" in none.out) == (1, True, True)
    foreign = scionary("find", "--photo", photo(tmp_path, "a.jpg", code_of(5_000_000), "\x1b[31mred"))
    assert foreign.code == 1
    assert "never issued by this book" in foreign.out
    assert "\x1b" not in foreign.out


def test_a_plant_that_was_sold_is_said_loudly(scionary: Scionary, plant: Plant, write: Any, tmp_path: Path) -> None:
    write("left", plant, days=1, how="sale")
    done = scionary("find", "--photo", photo(tmp_path, "a.jpg", code(plant)))
    assert done.code == 0
    assert "Look: CAUTION: Red Tarn 1 was sold on 15 Feb 2026." in done.out
    assert "1. Look whether this is Red Tarn 1 after all" in done.out


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("notes.txt", b"notes", "this is no picture that can be read"),
        ("half.jpg", b"\xff\xd8\xff", "is damaged or breaks off"),
        ("x", None, "it cannot be read"),
    ],
)
def test_a_photo_that_cannot_be_read_is_refused_with_code_2_and_nothing_is_shown(
    scionary: Scionary, plant: Plant, tmp_path: Path, name: str, data: bytes | None, said: str
) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    done = scionary("find", "--photo", photo(tmp_path, "a.jpg", code(plant)), str(tmp_path / name))
    assert (done.code, done.out) == (2, "")
    assert f"{tmp_path / name}: " in done.err
    assert said in done.err


@pytest.mark.parametrize("more", [["--nameless"], ["--worth", "40"], ["--code", "P8?EC?C"], ["--until", "2026-07-31"]])
def test_photos_stand_alone(scionary: Scionary, plant: Plant, tmp_path: Path, more: list[str]) -> None:
    done = scionary("find", "--photo", photo(tmp_path, "a.jpg", code(plant)), *more)
    assert done.code == 2
    assert "--photo stands alone" in done.err


def test_more_photos_than_are_read_at_once_are_refused(scionary: Scionary, plant: Plant, tmp_path: Path) -> None:
    done = scionary("find", "--photo", *[photo(tmp_path, f"{number}.jpg") for number in range(9)])
    assert (done.code, "Send at most 8" in done.err) == (2, True)
