"""Labels to write again before they fade."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest

from scionary.answers.due import due
from scionary.answers.fading_labels import fading_labels, label_words
from scionary.answers.label_media import save_medium, save_weeks_before
from scionary.answers.words import short_day
from scionary.book.commands import Written
from scionary.book.models import Nursery, Plant

pytestmark = pytest.mark.django_db

Grafts = Callable[..., Written]


def on(days: int, now: datetime) -> date:
    return (now + timedelta(days=days)).date()


def test_a_label_is_due_some_weeks_before_its_writing_fades(graft: Grafts, nursery: Nursery, now: datetime) -> None:
    graft(1, label_medium="ordinary marker", label_light="sun")  # 3 months are 91 days, 4 weeks before is day 63
    assert fading_labels(nursery, on(62, now)) == []
    group = fading_labels(nursery, on(63, now))[0]
    assert (group.medium.name, group.first) == ("ordinary marker", on(91, now))
    assert group.why == f"Ordinary marker lasts about 3 months in the sun; the first begins to fade about {short_day(on(91, now))}."
    assert group.rests_on == "common practice, no source; said 4 weeks before (project default, unsourced)"


def test_shade_keeps_writing_longer_and_what_nobody_said_counts_as_sun(graft: Grafts, nursery: Nursery, now: datetime) -> None:
    shaded = graft(1, label_medium="ordinary marker", label_light="shade").plants[0]
    unsaid = graft(1, label_medium="Ordinary Marker").plants[0]
    early = fading_labels(nursery, on(90, now))
    assert [group.plants for group in early] == [[unsaid]]
    assert "Whether it hangs in sun or shade is not written down; sun is taken." in early[0].why
    late = fading_labels(nursery, on(300, now))[0]
    assert late.plants == [unsaid, shaded]
    assert "3 months in the sun and 9 months in the shade" in late.why
    assert "Whether 1 of them hang" in late.why


def test_pencil_an_unknown_medium_and_a_label_of_the_dead_are_never_due(graft: Grafts, nursery: Nursery, now: datetime, write: Any) -> None:
    graft(1, label_medium="pencil")
    graft(1, label_medium="crayon")
    graft(1)
    write("lost", graft(1, label_medium="ordinary marker").plants[0])
    assert fading_labels(nursery, on(4000, now)) == []


def test_how_early_and_the_life_are_the_persons_own(graft: Grafts, nursery: Nursery, now: datetime) -> None:
    graft(1, label_medium="crayon")
    save_weeks_before(0, now=now)
    save_medium("", {"medium": "crayon", "months_sun": 2.0, "source": "a wet spring"}, now=now)
    nursery = Nursery.objects.get()
    assert fading_labels(nursery, on(60, now)) == []
    assert "a wet spring; said 0 weeks before (my own practice)" in fading_labels(nursery, on(61, now))[0].rests_on


def test_due_says_it_and_writing_it_down_begins_anew(graft: Grafts, nursery: Nursery, now: datetime, write: Any) -> None:
    plant = graft(1, label_medium="ordinary marker", label_light="sun").plants[0]
    line = next(line for line in due(today=on(100, now)).lines if line.step == "label")
    assert line.what == "Write 1 label in ordinary marker again: Red Tarn 1"
    assert (line.when, line.late_days, line.event) == (on(91, now), 9, ("relabelled", {}))
    write("relabelled", plant, days=100)
    assert fading_labels(nursery, on(120, now)) == []
    assert fading_labels(nursery, on(170, now))[0].plants == [plant]


def test_a_plant_says_what_is_known_of_its_label(graft: Grafts, nursery: Nursery, now: datetime) -> None:
    def said(**label: str) -> str:
        return label_words(Plant.objects.get(pk=graft(1, **label).plants[0].pk), nursery)

    assert said() == ""
    assert said(label_medium="pencil").endswith("That does not fade.")
    assert "How long crayon lasts is not known" in said(label_medium="crayon")
    assert said(label_medium="printed", label_light="shade").endswith("begins to fade about 14 Feb 2028 (common practice, no source).")
    assert said(label_medium="printed").endswith("sun is taken.")
