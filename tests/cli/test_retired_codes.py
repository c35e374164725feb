"""In the terminal: labels of plants that are gone, of two plants, of another book."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from scionary.book.commands import correct
from scionary.book.models import Event, Plant
from scionary.names import code_of

pytestmark = pytest.mark.django_db


def code(plant: Plant) -> str:
    return code_of(plant.code_number or 0)


def test_a_retired_code_says_whose_it_was_and_two_steps(scionary: Callable[..., Any], plant: Plant, write: Any, tmp_path: Path) -> None:
    write("left", plant, days=1, how="sale")
    found = scionary("find", code(plant))
    lines = [line.strip() for line in found.out.splitlines()]
    assert lines[0].startswith("CAUTION: Red Tarn 1 was sold on 15 Feb 2026. A plant here with this label may be another one.")
    assert [line[:2] for line in lines[1:3]] == ["1.", "2."]
    assert len(scionary("find", code(plant), "--json").json["steps"]) == 2
    printed = scionary("labels", code(plant), "--out", str(tmp_path / "l.pdf"))
    assert (printed.code, "Look: Red Tarn 1: left by sale or gift since 15 Feb 2026" in printed.out) == (0, True)


def test_a_code_that_a_plant_has_is_refused_at_the_bench_with_its_name(scionary: Callable[..., Any], plant: Plant, write: Any) -> None:
    write("lost", plant, days=1)
    refused = scionary("bench", "Ash Gill", "--codes", code(plant))
    assert (refused.code, "Red Tarn 1, lost since 2026-02-15" in refused.err) == (2, True)
    assert not Plant.objects.filter(cultivar__spoken="Ash Gill").exists()


def test_a_code_of_another_book_is_said_so(scionary: Callable[..., Any], plant: Plant) -> None:
    foreign = code_of(5_000_000)
    assert "never issued by this book" in scionary("find", foreign).out
    refused = scionary("bench", "Ash Gill", "--codes", foreign)
    assert (refused.code, "never issued by this book" in refused.err) == (2, True)


def test_two_plants_with_one_code_are_both_named(scionary: Callable[..., Any], now: datetime, tmp_path: Path) -> None:
    scionary("bench", "Red Tarn", "2")
    first, second = Plant.objects.order_by("running_number")
    correct(Event.objects.get(kind="grafted", subjects__key=second.key).pk, {"code_number": first.code_number}, now=now)
    assert "2 plants carry this code" in scionary("find", code(first)).out
    printed = scionary("labels", "--out", str(tmp_path / "l.pdf"))
    assert "Look: Red Tarn 1: Red Tarn 2 carries the same code." in printed.out
    assert scionary("labels", code(first), "--out", str(tmp_path / "m.pdf")).code == 2
