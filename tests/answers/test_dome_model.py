"""A dome of the book as its physics needs it, and what its own log tells."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from answers.dome_in_book import NOW, keep_log, keep_weather
from scionary.answers import kept
from scionary.answers.dome_model import fits_are_behind, learn_fits, model_of, spec_of
from scionary.answers.dome_shade import shade_at, shade_changes
from scionary.answers.dome_weather import around
from scionary.book.commands import save_noun
from scionary.book.models import Dome
from scionary.book.weather import COLUMNS
from scionary.dome import vapour_pressure

pytestmark = pytest.mark.django_db
OPENED = ((10, 25.0), (8, 0.0), (6, 60.0), (4, 10.0), (2, 0.0))


@pytest.fixture(autouse=True)
def _nothing_kept(tmp_path, settings):
    settings.DATA_FOLDER = tmp_path
    kept.forget()


def test_what_is_written_down_is_taken_and_the_rest_is_assumed_and_listed(nursery, dome):
    bare = model_of(dome)
    assert bare.spec.tray_area_m2 == pytest.approx(0.5207 * 0.2667)
    assert ("shade", "0 %", "not written down; assumed, project default, unsourced") in bare.assumed(nursery)
    save_noun(Dome, {"shade_pct": 75.0, "mat_w": 60.0, "mat_c": 20.0, "height_mm": 300.0}, now=NOW, pk=dome.pk)
    made = model_of(Dome.objects.get(pk=dome.pk))
    assert made.spec.shade_share == 0.75
    assert made.spec.mat.thermostat_c == 20.0
    assert made.spec.volume_m3 == pytest.approx(0.5207 * 0.2667 * 0.3)
    assert ("heat mat", "60 W, held at 20 °C", "written down with the dome") in made.assumed(nursery)


def test_in_a_room_the_air_is_warmed_with_the_water_it_brought_and_that_is_listed(nursery, dome):
    keep_weather(warm=10.0, past_days=2, ahead_days=1)
    save_noun(Dome, {"room_c": 20.0}, now=NOW, pk=dome.pk)
    made = model_of(Dome.objects.get(pk=dome.pk))
    weather = around(nursery, NOW - timedelta(days=1), NOW)
    indoors, outdoors = made.outside(weather), weather.outside()
    assert indoors.temperature_c.min() == 20.0
    inside, outside = (vapour_pressure(air.temperature_c, air.relative_humidity_pct) for air in (indoors, outdoors))
    assert inside == pytest.approx(outside, rel=1e-6)
    assert indoors.wind_m_s.max() < outdoors.wind_m_s.min()
    assert ("the room around it", "at least 20 °C, as moist as outdoors, still air", "written down with the dome") in made.assumed(nursery)


def test_a_room_that_was_written_down_later_asks_for_a_new_fit(nursery, dome):
    spec, largest = spec_of(dome)
    keep_log(dome, spec, keep_weather(), largest_cm2=largest, opened=OPENED)
    learn_fits()
    save_noun(Dome, {"room_c": 12.0}, now=NOW, pk=dome.pk)
    assert model_of(Dome.objects.get(pk=dome.pk)).fit is None
    assert fits_are_behind()


def test_a_log_tells_how_much_sun_a_dome_takes_up_and_never_its_leak(nursery, dome):
    spec, largest = spec_of(dome)
    keep_log(dome, replace(spec, absorbed_fraction=0.3, leak_l_min=0.3), keep_weather(), largest_cm2=largest, opened=OPENED)
    assert model_of(dome).fit is None
    assert fits_are_behind()
    learn_fits()
    found = model_of(dome)
    sun = found.fit.estimate("absorbed_fraction")
    assert sun.low < 0.3 < sun.high < 0.4
    told = {name: (number, how) for name, number, how in found.told()}
    assert told["air that it lets through when closed"][0].startswith("at most ")
    assert not fits_are_behind()


def test_a_dome_that_was_changed_is_not_told_by_its_old_fit(nursery, dome):
    spec, largest = spec_of(dome)
    keep_log(dome, spec, keep_weather(), largest_cm2=largest, opened=OPENED)
    learn_fits()
    save_noun(Dome, {"shade_pct": 50.0}, now=NOW, pk=dome.pk)
    changed = model_of(Dome.objects.get(pk=dome.pk))
    assert changed.fit is None
    assert fits_are_behind()


def changed(dome, shade_pct, *, days):
    save_noun(Dome, {"shade_pct": shade_pct}, now=NOW - timedelta(days=days), pk=dome.pk)
    dome.refresh_from_db()


def test_days_of_a_log_are_held_against_the_cloth_that_hung_then(nursery, dome):
    changed(dome, 0.0, days=30)
    spec, largest = spec_of(dome)
    rows = keep_weather()
    under = rows.copy()
    under[under[:, 0] >= (NOW - timedelta(days=4)).timestamp(), COLUMNS.index("solar")] *= 0.2
    keep_log(dome, replace(spec, absorbed_fraction=0.5), under, largest_cm2=largest, opened=OPENED)
    changed(dome, 80.0, days=4)
    learn_fits()
    found = model_of(dome)
    told = found.fit.estimate("absorbed_fraction")
    assert told.low < 0.5 < told.high < 0.6
    assert (found.fit.given.shade_share, found.middle.shade_share) == (0.8, 0.8)


def test_a_shade_first_written_down_or_put_right_at_once_is_no_other_cloth(nursery, dome):
    changed(dome, 40.0, days=5)
    assert shade_changes(dome) == []
    changed(dome, 90.0, days=4)
    changed(dome, 60.0, days=4 - 0.01)
    assert [(before, after) for _, before, after in shade_changes(dome)] == [(0.4, 0.6)]
    changed(dome, 0.0, days=3)
    moments = np.array([(NOW - timedelta(days=back)).timestamp() for back in (6, 3.5, 1)])
    assert shade_at(shade_changes(dome), moments) == pytest.approx([0.4, 0.6, 0.0])


def test_a_log_that_this_dome_cannot_have_made_is_said_to_be_strange(nursery, dome):
    spec, largest = spec_of(dome)
    other = replace(spec, absorbed_fraction=0.02, heat_capacity_j_k=400.0)
    keep_log(dome, other, keep_weather(), largest_cm2=largest, opened=OPENED)
    learn_fits()
    found = model_of(dome)
    assert found.fit is None
    assert "does not look as if" in found.lacks_words


def test_without_weather_no_log_is_fitted(nursery, dome):
    spec, largest = spec_of(dome)
    keep_log(dome, spec, keep_weather(past_days=2, ahead_days=1), largest_cm2=largest)
    learn_fits()
    assert "too few days" in model_of(dome).lacks_words
