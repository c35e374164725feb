"""What a label still says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.labelled import label_still_says
from scionary.book.commands import correct, save_noun, write_event
from scionary.book.models import Cultivar, Event, Plant

pytestmark = pytest.mark.django_db


@pytest.fixture
def renamed(plant: Plant, now: datetime) -> Plant:
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)
    correct(Event.objects.get(kind="grafted").pk, {"cultivar": str(lanthorn.pk)}, now=now + timedelta(days=2))
    return Plant.objects.get()


def test_a_label_that_fits_is_not_spoken_of(plant: Plant) -> None:
    assert label_still_says(plant) == ""


def test_after_another_name_the_old_one_is_said_until_there_is_a_new_label(renamed: Plant, now: datetime) -> None:
    assert label_still_says(renamed) == "Red Tarn 1"
    later = now + timedelta(days=3)
    write_event("relabelled", renamed.key, {}, happened_at=later, now=later)
    assert label_still_says(Plant.objects.get()) == ""


def test_a_label_dated_back_but_written_later_counts_as_new(renamed: Plant, now: datetime) -> None:
    write_event("relabelled", renamed.key, {}, happened_at=now + timedelta(hours=1), now=now + timedelta(days=3))
    assert label_still_says(Plant.objects.get()) == ""


def test_a_new_number_needs_a_new_label_too(plant: Plant, now: datetime) -> None:
    correct(Event.objects.get(kind="grafted").pk, {"running_number": 9}, now=now + timedelta(days=2))
    assert label_still_says(Plant.objects.get()) == "Red Tarn 1"


def test_nobody_reads_the_label_of_a_plant_that_is_gone(renamed: Plant, write: Callable[..., object]) -> None:
    write("left", renamed, days=5, how="sale")
    assert label_still_says(Plant.objects.get()) == ""
