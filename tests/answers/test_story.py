"""A plant's story in words."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest

from scionary.answers.story import StoryLine, event_of, story_lines
from scionary.book.commands import Written, correct, save_noun, undo
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Dome, MotherTree, Nursery, Plant
from scionary.book.record import Answer, NewEvent, record_events
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db

Write = Callable[..., Answer]


def told(plant: Plant, nursery: Nursery) -> list[str]:
    return [line.words for line in story_lines(plant, nursery)]


def line_of(plant: Plant, nursery: Nursery, kind: str) -> StoryLine:
    return next(line for line in story_lines(plant, nursery) if line.kind == kind)


def test_what_happened_is_told_latest_first(graft: Callable[..., Written], dome: Dome, nursery: Nursery, write: Write) -> None:
    plant = graft(dome=dome.pk).plants[0]
    write("scored", plant, days=31, sign="firm", answer="yes")
    write("moved", plant, days=45, stands="bench")
    write("left", plant, days=300, how="gift")
    assert told(plant, nursery) == ["Given away", "Moved to bench", "Firm", "Grafted: Red Tarn, into Dome 1, place 1"]


def test_lengths_are_said_in_the_persons_unit(graft: Callable[..., Written], nursery: Nursery) -> None:
    plant = graft(scion_mm=3.1, stock_mm=6.8).plants[0]
    assert line_of(plant, nursery, "grafted").details == ["scion: 3.1 mm", "stock: 6.8 mm"]


def test_a_dome_s_events_count_while_the_plant_stood_there(
    graft: Callable[..., Written], dome: Dome, nursery: Nursery, write: Write
) -> None:
    plant = graft(dome=dome.pk).plants[0]
    write("watered", dome, days=1, water_mm=8.0)
    write("moved", plant, days=2, stands="bench")
    write("watered", dome, days=3)
    (watered,) = [line for line in story_lines(plant, nursery) if line.kind == "watered"]
    assert watered.of_dome
    assert not watered.correctable


@pytest.mark.parametrize(
    ("kind", "payload", "words"),
    [
        ("name_doubted", {"reason": "leaves too red"}, "Name in doubt: leaves too red"),
        ("name_doubt_ended", {}, "Name no longer in doubt"),
        ("quarantined", {"reason": "cankers"}, "Set apart in quarantine: cankers"),
        ("released", {"reason": "looked at by the inspector"}, "Released from quarantine: looked at by the inspector"),
    ],
)
def test_setting_apart_is_told_with_its_reason(
    plant: Plant, nursery: Nursery, write: Write, kind: str, payload: dict[str, str], words: str
) -> None:
    write(kind, plant, days=1, **payload)
    line = line_of(plant, nursery, kind)
    assert (line.words, line.details, line.with_others) == (words, [], 0)


def test_a_record_of_several_plants_says_of_how_many_others(
    graft: Callable[..., Written], tree: MotherTree, nursery: Nursery, now: datetime
) -> None:
    plants = graft(3).plants
    subjects = (tree.key, *(plant.key for plant in plants))
    record_events([NewEvent("quarantined", now, subjects, {"reason": "cankers"})], now=now)
    assert line_of(plants[0], nursery, "quarantined").with_others == 2


@pytest.mark.parametrize(("share", "words"), [(0, "Vents closed"), (33, "Vents opened to 33 %")])
def test_vents_at_nothing_are_closed(
    graft: Callable[..., Written], dome: Dome, nursery: Nursery, write: Write, share: int, words: str
) -> None:
    plant = graft(dome=dome.pk).plants[0]
    write("vented", dome, days=1, open_pct=share)
    assert words in told(plant, nursery)


def test_a_corrected_line_says_what_it_said_before_who_and_when(plant: Plant, nursery: Nursery, now: datetime) -> None:
    lanthorn = save_noun(Cultivar, {"spoken": "Lanthorn"}, now=now)
    event = line_of(plant, nursery, "grafted").event
    later = now + timedelta(days=4)
    correct(event, {"cultivar": str(lanthorn.pk), "happened_at": (now - timedelta(days=3)).isoformat()}, now=later, who="Nell")
    line = line_of(plant, nursery, "grafted")
    assert line.was == "Red Tarn → Lanthorn, when 2026-02-14 → 2026-02-11"
    assert (line.corrected_at, line.corrected_by, line.changed) == (later, "Nell", True)
    assert line.words == "Grafted: Lanthorn"


def test_each_correction_tells_its_own_step(plant: Plant, nursery: Nursery, now: datetime) -> None:
    event = line_of(plant, nursery, "grafted").event
    for day, name in enumerate(("Ina", "Nell"), start=1):
        correct(event, {"grafter": name}, now=now + timedelta(days=day))
    steps = [line.details for line in story_lines(plant, nursery) if line.kind == "corrected"]
    assert steps == [["grafter Ina → Nell"], ["grafter nothing → Ina"]]


def test_a_correction_that_is_undone_no_longer_counts(plant: Plant, nursery: Nursery, now: datetime) -> None:
    event = line_of(plant, nursery, "grafted").event
    done = correct(event, {"grafter": "Ina"}, now=now + timedelta(days=1))
    undo(done.id, now=now + timedelta(days=2))
    line = line_of(plant, nursery, "grafted")
    assert (line.was, line.corrected_at, line.changed) == ("", None, False)


def test_an_undone_line_names_what_brings_it_back(plant: Plant, nursery: Nursery, write: Write, now: datetime) -> None:
    lost = write("lost", plant, days=1, sign="dry", cause="frost")
    done = undo(lost.id, now=now + timedelta(days=2))
    line = line_of(plant, nursery, "lost")
    assert (line.undone, line.undone_by, line.words) == (True, [done.id], "Lost: dry; suspected: frost")
    assert "Undone: lost" in told(plant, nursery)


def test_an_event_is_given_as_it_stands_now(plant: Plant, write: Write, now: datetime) -> None:
    lost = write("lost", plant, days=1, sign="dry")
    correct(lost.id, {"sign": "black"}, now=now + timedelta(days=2))
    assert event_of(plant, lost.id)[2] == {"sign": "black"}
    with pytest.raises(UnknownSubject, match="holds no such record"):
        event_of(plant, uuid7())


def test_of_two_corrections_the_one_that_stands_is_named(plant: Plant, nursery: Nursery, now: datetime) -> None:
    event = line_of(plant, nursery, "grafted").event
    correct(event, {"grafter": "Ina"}, now=now + timedelta(days=1), who="Nell")
    second = correct(event, {"grafter": "Ash"}, now=now + timedelta(days=2), who="Tobit")
    undo(second.id, now=now + timedelta(days=3))
    line = line_of(plant, nursery, "grafted")
    assert (line.was, line.corrected_by) == ("grafter nothing → Ina", "Nell")


def test_a_correction_of_a_graft_in_a_dome_belongs_to_the_plant(
    graft: Callable[..., Written], dome: Dome, nursery: Nursery, now: datetime
) -> None:
    written = graft(dome=dome.pk)
    correct(written.events[0], {"grafter": "Ina"}, now=now + timedelta(days=1))
    assert not line_of(written.plants[0], nursery, "corrected").of_dome
