"""Opening a dome by degrees: the model's steps, what happened since, and who may open at all."""

from dataclasses import replace
from datetime import timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from answers.dome_in_book import NOW, TODAY, keep_log, keep_weather
from scionary.answers import dome_opening, kept
from scionary.answers.dome_model import learn_fits, spec_of
from scionary.answers.dome_opening import DAY_S, DomeOpening, Happening, follow, opening_of, with_opening
from scionary.answers.domes import dome_answer
from scionary.answers.due import _pressing, dome_due
from scionary.answers.due_lines import DueLine
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Dome, Sensor
from scionary.book.readings import store_readings
from scionary.dome import Basis, OutsideAir, common_practice_steps
from scionary.web.due.lines import shown

SINCE = 126  # days between the fixtures' moment and this one


@pytest.fixture
def healed(graft, dome, method, nursery, tmp_path, settings):
    """A dome with a log that was fitted, whose plants were grafted 33 days ago."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()
    made = graft(2, dome=dome.pk, method=method.pk, days=SINCE - 33)
    dome = Dome.objects.get(pk=dome.pk)
    spec, largest = spec_of(dome)
    rows = keep_weather(past_days=12, ahead_days=31, sunny=250.0)
    keep_log(dome, spec, rows, largest_cm2=largest, opened=((33, 0.0),))
    learn_fits()
    return dome, made.plants


def looked_sound(plants):
    for plant in plants:
        write_event("scored", plant.key, {"sign": "firm", "answer": "yes"}, happened_at=NOW - timedelta(hours=2), now=NOW)


def vented(dome, days, share):
    write_event("vented", dome.key, {"open_pct": share}, happened_at=NOW + timedelta(days=days), now=NOW + timedelta(days=max(days, 0)))


def opening(dome, nursery, today=TODAY):
    return opening_of(dome_answer(dome.pk, today=today), nursery, today=today)


@pytest.mark.django_db
def test_no_clock_opens_a_dome_a_person_looks_first(healed, nursery):
    dome, plants = healed
    assert opening(dome, nursery) is None
    looked_sound(plants)
    found = opening(dome, nursery)
    assert found.done == 0
    shares = [step.share for step in found.left]
    assert len(shares) == 7
    assert shares == sorted(shares)
    assert shares[-1] > 0.5
    first = found.care()[0]
    assert first.say.startswith("Open ")
    assert "in the evening or on " in first.say
    assert "kPa of a leaf (" in first.why


@pytest.mark.django_db
def test_due_names_the_models_step_its_reason_and_what_it_rests_on(healed, nursery):
    dome, plants = healed
    looked_sound(plants)
    (line,) = (line for line in dome_due(dome_answer(dome.pk, today=TODAY), today=TODAY) if line.step == "vent")
    assert line.what.startswith("Dome 1: open ")
    assert line.rests_on.startswith("this dome's own log")
    assert line.event[1]["open_pct"] == pytest.approx(100.0 * opening(dome, nursery).left[0].share, abs=0.1)


@pytest.mark.django_db
def test_without_a_log_the_methods_own_steps_stand(graft, dome, method, nursery):
    graft(2, dome=dome.pk, method=method.pk, days=SINCE - 33)
    answer = dome_answer(dome.pk, today=TODAY)
    assert with_opening(answer, nursery, TODAY) is answer


@pytest.mark.django_db
def test_leaves_that_hang_close_the_dome_and_stretch_the_rest(healed, nursery):
    dome, plants = healed
    looked_sound(plants)
    vented(dome, -3, 10.0)
    before = opening(dome, nursery)
    write_event("observed", plants[0].key, {"seen": "wilting"}, happened_at=NOW - timedelta(hours=1), now=NOW)
    found = opening(dome, nursery)
    first = found.care()[0]
    assert first.open_pct == 0.0
    assert first.say == "Close the vents: leaves hung at this step"
    (line,) = (line for line in dome_due(dome_answer(dome.pk, today=TODAY), today=TODAY) if line.step == "vent")
    assert (line.event, shown(line, TODAY).button) == (("vented", {"open_pct": 0.0}), "The vents are closed")
    assert found.steps[-1].until_s > before.steps[-1].until_s + 3 * DAY_S
    vented(dome, 0, 0.0)
    assert opening(dome, nursery).left[0].share > 0.0


@pytest.mark.django_db
def test_leaves_that_hang_on_two_plants_of_one_day_count_once(graft, dome, method, nursery):
    plants = graft(2, dome=dome.pk, method=method.pk, days=SINCE - 33).plants
    vented(dome, -3, 10.0)
    for plant, day in ((plants[0], 0), (plants[1], 0), (plants[0], -1)):
        write_event("observed", plant.key, {"seen": "wilting"}, happened_at=NOW + timedelta(days=day, minutes=-1), now=NOW)
    told = dome_opening._happenings(dome_answer(dome.pk, today=TODAY), nursery)
    assert [each.share for each in told] == [0.1, None, None]


@pytest.mark.django_db
@pytest.mark.parametrize(("count", "speaks"), [(3, False), (4, True)])
def test_a_log_of_less_than_four_hours_by_day_corrects_nothing(dome, nursery, count, speaks):
    sensor = save_noun(Sensor, {"name": "Logger 1", "dome_id": dome.pk}, now=NOW)
    begin = NOW.timestamp() - 4 * 3600.0
    times = begin + 600.0 * np.arange(6 * count)
    store_readings(sensor, np.column_stack([times, np.full(times.size, 20.0), np.full(times.size, 90.0)]))
    outside = OutsideAir([begin - DAY_S, begin + DAY_S], 15.0, 60.0, 300.0)
    seen = dome_opening._seen_by_day(SimpleNamespace(dome=dome), outside, begin, begin + DAY_S)
    assert seen == (pytest.approx(0.234, abs=0.002) if speaks else None)


def test_a_step_taken_late_moves_the_others_and_one_that_was_skipped_falls_away():
    plan = [step for step in common_practice_steps(0.0, days=14.0) if step.open_minutes is None]
    late, done = follow(plan, [Happening(plan[0].at_s + 2 * DAY_S, plan[0].share)])
    assert done == 1
    assert late[1].at_s == plan[1].at_s + 2 * DAY_S
    wide, done = follow(plan, [Happening(plan[0].at_s, plan[2].share)])
    assert done == 1
    assert wide[1].share == pytest.approx(plan[3].share)


def test_wilting_before_anything_was_opened_changes_nothing():
    plan = [step for step in common_practice_steps(0.0) if step.open_minutes is None]
    assert follow(plan, [Happening(plan[0].at_s, None)]) == (plan, 0)


def test_wilting_twice_before_it_was_closed_closes_it_once():
    plan = [step for step in common_practice_steps(0.0) if step.open_minutes is None]
    taken = [Happening(plan[0].at_s, plan[0].share), Happening(plan[1].at_s, plan[1].share)]
    steps, done = follow(plan, [*taken, Happening(plan[1].at_s + 3600.0, None)])
    assert done == 1
    assert [step.basis is Basis.WILTED for step in steps[:3]] == [False, True, False]


def opening_on(day, shares, nursery):
    steps = [replace(step, share=share) for step, share in zip(common_practice_steps(NOW.timestamp()), shares, strict=False)]
    return DomeOpening(steps, 0, nursery, day)


def test_steps_beside_each_other_never_read_alike(nursery):
    said = [care.say for care in opening_on(TODAY, (0.38, 0.42, 1.0), nursery).care()]
    assert said[0].startswith("Open 38 % of the vents")
    assert said[1].startswith("Open 42 % of the vents")
    assert said[2].startswith("Open all of the vents")


def test_a_step_that_sets_the_vents_as_the_one_before_is_no_act(nursery):
    said = [care.say for care in opening_on(TODAY, (0.4, 0.666, 0.674, 1.0), nursery).care()]
    assert [words.split(" of the vents")[0] for words in said] == ["Open two fifths", "Open two thirds", "Open all"]


def test_a_late_step_is_for_this_evening(nursery):
    steps = opening_on(TODAY, (0.33, 0.67, 1.0), nursery)
    first = steps.care()[0]
    assert "this evening" not in first.say
    late = replace(steps, today=first.when + timedelta(days=1)).care()[0]
    assert late.say.startswith("Open a third of the vents, this evening or on the first dull day; it was due on ")
    assert late.when == first.when


def test_vents_to_close_stand_before_a_look_that_is_late(nursery):
    def line(step, when, event=None):
        return DueLine(step, step, "", when, 0, "", event=event)

    close = line("vent", TODAY, ("vented", {"open_pct": 0.0}))
    late = [line(step, TODAY - timedelta(days=1)) for step in ("look", "water", "check", "dry")]
    assert min([*late, close], key=_pressing) is close
    hot = line("air", TODAY)
    assert min([hot, close], key=_pressing) is hot
    assert min([*late, line("vent", TODAY, ("vented", {"open_pct": 33.0}))], key=_pressing) is not close
