"""Text as it is kept: what a screen or a terminal would obey is left out, what a person reads stays."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime

import pytest

from scionary.answers.bench_day import dome_called
from scionary.book.commands import Written, cultivar_called, save_noun
from scionary.book.kinds import plain
from scionary.book.models import Cultivar, Event, Nursery


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("Red\x1b[31m Tarn\x07", "Red[31m Tarn"),
        ("\u202eRed Tarn", "Red Tarn"),
        ("Red\u00a0Tarn\t7", "Red Tarn 7"),
        ("Red\x00 Tarn\udc80", "Red Tarn"),
        ("first\nsecond", "first\nsecond"),
        ("🧑\u200d🌾 Fèll Läce", "🧑\u200d🌾 Fèll Läce"),
    ],
)
def test_text_is_kept_without_what_steers_a_screen(typed: str, kept: str) -> None:
    assert plain(typed) == kept


@pytest.mark.django_db
def test_a_name_with_marks_is_the_name_without_them(nursery: Nursery, cultivar: Cultivar, now: datetime) -> None:
    assert cultivar_called("\u202eRed\u00a0Tarn\x07", now=now) == cultivar
    first = dome_called("Dome\x1b 1", now=now)
    assert first.name == "Dome 1"
    assert dome_called("Dome\x07 1", now=now) == first
    assert save_noun(Cultivar, {"spoken": "Ash\x9b Gill"}, now=now).spoken == "Ash Gill"


@pytest.mark.django_db
def test_a_note_is_kept_plain(graft: Callable[..., Written]) -> None:
    graft(note="cut\x1b[2J late\u2066")
    assert Event.objects.get(kind="grafted").payload["note"] == "cut[2J late"
