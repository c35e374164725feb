"""What to know before labels are printed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest

from scionary.answers.label_cautions import label_cautions, print_cautions
from scionary.book.commands import Written, correct, save_noun
from scionary.book.models import Cultivar, Nursery, Plant
from scionary.files.grids import GRIDS

pytestmark = pytest.mark.django_db

TODAY = date(2026, 3, 1)


def cautions(nursery: Nursery) -> list[str]:
    return label_cautions(list(Plant.objects.select_related("cultivar").order_by("running_number")), nursery, today=TODAY)


def test_a_plant_that_is_here_alone_with_its_code_needs_no_word(graft: Callable[..., Written], nursery: Nursery) -> None:
    graft(3)
    assert cautions(nursery) == []


def test_a_label_for_a_plant_that_is_gone_is_said_so(graft: Callable[..., Written], nursery: Nursery, write: Any) -> None:
    lost, sold, _ = graft(3).plants
    write("lost", lost)
    write("left", sold, days=1, how="sale")
    said = cautions(nursery)
    assert [words[:27] for words in said] == ["Red Tarn 1: lost since 14 F", "Red Tarn 2: left by sale or"]
    assert all("needs a label of its own" in words for words in said)


def test_a_code_that_two_plants_carry_is_said_of_both(graft: Callable[..., Written], nursery: Nursery, now: datetime) -> None:
    made = graft(3)
    correct(made.events[2], {"code_number": made.plants[0].code_number}, now=now)
    assert cautions(nursery) == [
        "Red Tarn 1: Red Tarn 3 carries the same code. Give one of them a new one, on its page.",
        "Red Tarn 3: Red Tarn 1 carries the same code. Give one of them a new one, on its page.",
    ]


def test_a_protected_cultivar_is_said_once(graft: Callable[..., Written], nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    save_noun(Cultivar, {"protected": True, "protection_register": "the register of Tarnland"}, now=now, pk=cultivar.pk)
    graft(3)
    assert cautions(nursery) == [
        "Red Tarn is recorded as protected, without an end. Check the register of Tarnland; propagating it may need the holder's licence."
    ]


def test_what_cannot_be_printed_is_told_once_a_cultivar(graft: Callable[..., Written], nursery: Nursery, now: datetime) -> None:
    odd = save_noun(Cultivar, {"spoken": "Tarn 紅", "botanical": "Acer palmatum 'Tarn 紅'"}, now=now)
    graft(3, cultivar=odd.pk)
    graft(2)
    plants = list(Plant.objects.select_related("cultivar"))
    assert print_cautions(plants, nursery, GRIDS["a4-24"]) == ["Tarn 紅 1: the print font has no 紅; printed as ?"]
