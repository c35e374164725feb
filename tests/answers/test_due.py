"""What is due, from after-care data, events and loggers, each line with its reason."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID

import numpy as np
import pytest

from scionary.answers.domes import dome_answer
from scionary.answers.due import dome_due, due
from scionary.book.commands import Written, save_noun
from scionary.book.models import Dome, Method, Nursery, Plant, Sensor
from scionary.book.readings import store_readings
from scionary.book.record import Answer, NewEvent, record_events

pytestmark = pytest.mark.django_db
Grafts = Callable[..., Written]
Write = Callable[..., Answer]
GRAFTED = date(2026, 2, 14)


def two_devices_disagree(scored: UUID, plant: Plant, now: Any) -> None:
    """Two corrections of one event, neither written in knowledge of the other."""
    for answer in ("yes", "no"):
        payload = {"target": str(scored), "replace": {"answer": answer}}
        record_events([NewEvent("corrected", now, (plant.key,), payload)], now=now)


def on(days: int) -> date:
    return GRAFTED + timedelta(days=days)


def steps(today: date) -> list[str]:
    return [line.step for line in due(today=today).lines]


def test_nothing_is_due_in_an_empty_book(nursery: Nursery) -> None:
    found = due(today=GRAFTED)
    assert (found.lines, found.sentence) == ([], "Nothing is due.")


def test_the_first_look_is_due_after_a_week_with_its_reason(graft: Grafts, dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    assert steps(on(6)) == []
    line = due(today=on(7)).lines[0]
    assert line.what.startswith("Dome 1: look in")
    assert "Day 7 since grafting" in line.why
    assert "common practice, no source" in line.rests_on


def test_a_round_settles_the_look_and_watering_the_water(graft: Grafts, write: Write, dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    assert set(steps(on(7))) == {"check", "water"}
    write("observed", dome, days=7)
    assert steps(on(7)) == ["water"]
    write("watered", dome, days=7)
    assert steps(on(7)) == []


def test_of_several_missed_looks_only_the_latest_is_due_and_of_vents_the_first(graft: Grafts, dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    lines = due(today=on(29)).lines
    assert [line.when for line in lines if line.step == "check"] == [on(28)]
    vents = [line for line in due(today=on(46)).lines if line.step == "vent"]
    assert [line.event for line in vents] == [("vented", {"open_pct": 33.0})]
    assert [line for line in due(today=on(40)).ahead if line.step == "vent"] == []


def test_a_whole_calendar_kept_on_time_leaves_out_no_step(graft: Grafts, write: Write, dome: Dome, method: Method) -> None:
    plants = graft(2, dome=dome.pk, method=method.pk).plants
    for day in (7, 14, 21, 28):
        assert set(steps(on(day))) == {"check", "water"}
        write("observed", dome, days=day)
        write("watered", dome, days=day)
        assert steps(on(day)) == []
    assert set(steps(on(31))) == {"firm", "vent"}
    for plant in plants:
        write("scored", plant, sign="firm", answer="yes", days=31)
    for day, opened in ((31, 33), (36, 67), (41, 100)):
        assert steps(on(day)) == ["vent"]
        write("vented", dome, open_pct=opened, days=day)
        assert steps(on(day)) == []
    last = due(today=on(45)).lines[0]
    assert last.what == "Dome 1: take the cover off"
    write("vented", dome, open_pct=100, days=45)
    assert steps(on(45)) == []


def test_a_vent_step_waits_for_the_one_before(graft: Grafts, write: Write, dome: Dome, method: Method) -> None:
    graft(2, dome=dome.pk, method=method.pk)
    write("vented", dome, open_pct=33, days=35)
    assert "vent" not in steps(on(39))
    assert "vent" in steps(on(40))


def test_a_dome_silent_for_months_is_asked_about_once(graft: Grafts, write: Write, dome: Dome, method: Method) -> None:
    graft(2, dome=dome.pk, method=method.pk)
    lines = [line for line in due(today=on(150)).lines if line.dome]
    assert [line.what for line in lines] == ["Dome 1: write down how it stands"]
    write("observed", dome, days=150)
    assert [line for line in due(today=on(150)).lines if line.dome] == []


def test_a_leaf_seen_too_early_to_count_is_asked_for_again_in_spring(graft: Grafts, write: Write, method: Method) -> None:
    early, looked = graft(2, method=method.pk).plants
    write("scored", early, sign="in_leaf", answer="yes", days=40)
    write("scored", looked, sign="in_leaf", answer="yes", days=460)
    (line,) = [line for line in due(today=date(2027, 5, 20)).lines if line.step == "in_leaf"]
    assert [plant.pk for plant in line.plants] == [early.pk]


def test_leaf_is_not_asked_for_while_trees_are_bare(graft: Grafts, method: Method) -> None:
    graft(2, method=method.pk)
    assert "in_leaf" in steps(date(2027, 5, 19))
    assert "in_leaf" not in steps(date(2027, 11, 25))
    assert "in_leaf" not in steps(date(2027, 5, 18))


def test_a_dome_whose_plants_are_all_lost_asks_for_nothing(graft: Grafts, write: Write, dome: Dome, method: Method) -> None:
    for plant in graft(2, dome=dome.pk, method=method.pk).plants:
        write("lost", plant, days=5)
    assert steps(on(8)) == []


def test_practices_that_were_not_picked_ask_for_nothing(graft: Grafts, dome: Dome, method: Method, now: Any) -> None:
    practices = [{**topic, "picked": "No standing water"} if topic["topic"] == "Water in the tray" else topic for topic in method.practices]
    save_noun(Method, {"practices": practices}, pk=method.pk, now=now)
    graft(3, dome=dome.pk, method=method.pk)
    waters = [line.what for line in due(today=on(7)).lines if line.step == "water"]
    assert waters == ["Dome 1: lift a pot: water only if it is light"]


def test_ties_are_due_until_they_are_cut(graft: Grafts, write: Write, method: Method) -> None:
    plants = graft(3, method=method.pk).plants
    for plant in plants[:2]:
        write("scored", plant, sign="firm", answer="yes", days=31)
    ties = [line for line in due(today=on(91)).lines if line.step == "untie"]
    assert ties[0].what == "Untie: Red Tarn 1 and Red Tarn 2"
    write("untied", plants[0], days=91)
    ties = [line for line in due(today=on(91)).lines if line.step == "untie"]
    assert ties[0].what == "Untie: Red Tarn 2"


def test_plants_that_live_are_potted_on_after_their_first_spring_in_leaf(graft: Grafts, write: Write, method: Method) -> None:
    plants = graft(3, method=method.pk).plants
    for plant in plants[:2]:
        write("scored", plant, sign="firm", answer="yes", days=31)
    first = date(2027, 6, 8)  # 80 days after the spring equinox of the growing year after that of the graft
    assert "pot_on" not in [line.step for line in due(today=first - timedelta(days=1)).lines]
    [line] = [line for line in due(today=first).lines if line.step == "pot_on"]
    assert line.what == "Pot on: Red Tarn 1 and Red Tarn 2"
    assert line.why.startswith("A pot full of roots dries out fast")
    assert line.rests_on.endswith("80 days after the spring equinox, Side graft, leafy, summer; common practice, no source")
    assert line.event == ("potted_on", {})
    write("potted_on", plants[0], days=(first - GRAFTED).days)
    assert [line.what for line in due(today=first).lines if line.step == "pot_on"] == ["Pot on: Red Tarn 2"]


def test_potting_on_follows_the_method_s_own_data(graft: Grafts, write: Write, method: Method, now: Any) -> None:
    care = [{**step, "day": 120, "counted_from": ""} if step["step"] == "pot_on" else step for step in method.after_care]
    save_noun(Method, {"after_care": care}, pk=method.pk, now=now)
    write("scored", graft(1, method=method.pk).plants[0], sign="firm", answer="yes", days=31)
    assert ("pot_on" in steps(on(119)), "pot_on" in steps(on(120))) == (False, True)
    save_noun(Method, {"after_care": [step for step in care if step["step"] != "pot_on"]}, pk=method.pk, now=now)
    assert "pot_on" not in steps(on(120))


def test_ties_of_years_ago_are_not_asked_for(graft: Grafts, write: Write, method: Method) -> None:
    write("scored", graft(1, method=method.pk).plants[0], sign="firm", answer="yes", days=31)
    assert "untie" in steps(on(90 + 365))
    assert "untie" not in steps(on(90 + 366))


def test_an_overheated_dome_stands_first(graft: Grafts, dome: Dome, method: Method, nursery: Nursery, now: Any) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    sensor = save_noun(Sensor, {"name": "logger A", "dome": dome}, now=now)
    end = now.timestamp() + 7 * 86400
    times = np.arange(end - 2 * 86400, end, 600.0)
    heat = np.where((times > end - 90000) & (times < end - 82000), 33.0, 21.0)
    store_readings(sensor, np.column_stack([times, heat, np.full_like(times, 96.0)]))
    line = due(today=on(7)).lines[0]
    assert (line.step, line.what) == ("air", "Dome 1: put the shade on")
    assert "33 °C" in line.why


def test_shade_is_asked_for_by_the_heat_also_where_dry_hours_came_after_it(
    graft: Grafts, dome: Dome, method: Method, nursery: Nursery, now: Any
) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    sensor = save_noun(Sensor, {"name": "logger A", "dome": dome}, now=now)
    end = now.timestamp() + 7 * 86400
    times = np.arange(end - 2 * 86400, end, 600.0)
    heat = np.where((times > end - 90000) & (times < end - 82000), 33.0, 21.0)
    store_readings(sensor, np.column_stack([times, heat, np.where(times > end - 20000, 60.0, 96.0)]))
    line = due(today=on(7)).lines[0]
    assert (line.step, line.what) == ("air", "Dome 1: put the shade on")
    assert "33 °C" in line.why
    assert "dry" not in line.why


def test_faded_writing_and_disputed_records_come_last(graft: Grafts, write: Write, now: Any) -> None:
    plant = graft(1, label_medium="ordinary marker").plants[0]
    scored = write("scored", plant, sign="firm", answer="unsure", days=31)
    two_devices_disagree(scored.id, plant, now)
    lines = due(today=on(100)).lines
    assert [line.step for line in lines][-2:] == ["records", "label"]


def test_the_coming_week_is_listed_apart(graft: Grafts, dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    found = due(today=on(3))
    assert found.lines == []
    assert {line.when for line in found.ahead} == {on(7)}
    assert found.sentence.startswith("Nothing today. Next: Dome 1:")


def test_a_coming_step_speaks_of_the_day_on_which_it_falls(graft: Grafts, dome: Dome, method: Method) -> None:
    graft(3, dome=dome.pk, method=method.pk)
    ahead = next(line for line in due(today=on(8)).ahead if line.step == "check")
    assert ahead.when == on(14)
    assert "Day 14 since grafting." in ahead.why


def test_a_dome_alone_has_the_lines_that_it_has_among_all(graft: Grafts, dome: Dome, method: Method, now: Any) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=now)
    graft(3, dome=dome.pk, method=method.pk)
    graft(2, dome=other.pk, method=method.pk)
    everything = [line for line in due(today=on(32)).lines if line.dome == dome]
    assert everything
    assert dome_due(dome_answer(dome.pk, today=on(32)), today=on(32)) == everything
